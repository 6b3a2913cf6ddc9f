package caution

import "regexp"

// hurt finds words of somebody who is unwell or has it on them, not of a cast:
// "fish eyes" and the eye of a figure are none.
var hurt = regexp.MustCompile(`(?i)\b(itch(es|y|ing)?|rash(es)?|hives|dizzy|dizziness|nause(a|ous)|faint(ed|ing)?|wheez(e|es|y|ing)|cough(s|ing)?|headaches?|sore throat|asthma|swallowed|poison(ed|ing)|` +
	`short of breath|(can'?t|cannot|hard to|trouble) breath(e|ing)?|in (my|his|her|their|your) (eyes?|mouth)|` +
	`(on|burn(t|ed|s)?) (my|his|her|their|your) (skin|hands?|fingers?|face)|` +
	`(my|his|her|their) (eyes?|skin|hands?|fingers?|lungs?|chest|throat|lips?) (is|are|feels?|hurts?|burns?|stings?|itch(es)?|swell(s|ed)?|went|got|has|have)\b)`)

// Hurt reports that a text tells of somebody who is hurt or unwell.
func Hurt(text string) bool {
	if len(text) > textMost {
		text = text[:textMost]
	}
	return hurt.MatchString(text)
}

// FirstAid is what comes before any question of casting. Common practice; what
// the data sheet says in section 4, and a doctor, win.
func FirstAid() []string {
	return []string{
		"Stop, and get out into fresh air; take others along.",
		"Tight chest, wheeze or trouble with breathing, or something swallowed: call for medical help now.",
		"Eyes: rinse with water for 15 min, then see a doctor.",
		"Skin: wipe it off, then soap and water; no solvent.",
		"Take the SDS along: section 4 has the first aid for this material.",
	}
}
