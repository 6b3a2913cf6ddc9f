package caution

// cautions are the texts. Figures of law carry their place; "from memory"
// marks those that were not read again.
var cautions = []Caution{
	{Isocyanate, "Isocyanates",
		"One liquid part holds isocyanates, which can make your lungs allergic for life without any smell to warn you. Moving air away from your face, gloves, eyes covered; a dust mask does nothing here.",
		"One of the two liquid parts, A or B by maker, holds isocyanates until the cast has cured. They can sensitize lungs for life: afterwards a trace is enough for an attack, and no smell warns before. " +
			"Work where air moves away from your face, wear gloves, cover your eyes, never spray it. Stop and see a doctor at a tight chest, cough or wheeze, also hours later. " +
			"A dust mask does not hold the vapor; where the SDS asks for a respirator, have it chosen and fitted by someone qualified (29 CFR 1910.134, from memory). " +
			"In the eyes: rinse for 15 minutes and see a doctor. On skin: wipe it off first, then soap and water. Clear, light-fast systems can give off more vapor, so give them the same care and more air. Sanding or heating cast urethane sets harmful matter free again. " +
			"Workplace ceilings in the United States: TDI 0.02 ppm, MDI 0.02 ppm (29 CFR 1910.1000, MDI from memory). In the European Union, work with 0.1 % diisocyanate or more needs training, renewed every 5 years (REACH Annex XVII entry 74, Regulation (EU) 2020/1149). " + Deferral},
	{Amine, "Amines and hardeners",
		"Resin and hardener can make skin allergic, and it stays so. Nitrile gloves, changed at every splash; soap and water on skin, never solvent.",
		"Epoxy resin, its hardener and the hardeners of urethane rubbers can bring on a skin allergy that builds up unseen and stays (HSE report RR079). Wear nitrile gloves, change them at every splash, wash skin with soap and water and never with solvent, which carries the stuff in. " +
			"Some hardeners of urethane rubbers hold MOCA, which may cause cancer and passes through skin: look for it in section 2 of the SDS (from memory). " + Deferral},
	{Peroxide, "Peroxide catalyst",
		"Peroxide burns eyes within seconds and feeds fire. Goggles on before the cap comes off; keep it from promoter, rust, brass and acetone.",
		"The catalyst of polyester, and of some silicones, is an organic peroxide: it burns eyes within seconds and makes fires burn hotter. Goggles before the cap comes off, rinse at once and long, see a doctor. " +
			"It must never meet promoter, rust, brass, copper or acetone undiluted; it can burst into flame. Wet rags go into water outdoors, not into a paper bin. Common practice doses ketone peroxide at 1 to 2.5 % of the resin; too little and too much both leave it soft. " +
			"Advised ceiling for methyl ethyl ketone peroxide: 0.2 ppm (NIOSH and ACGIH; no OSHA limit in force). " + Deferral},
	{Styrene, "Styrene",
		"Polyester gives off styrene: heavy, flammable vapor that harms nerves and hearing. Strong air at floor level, no flame, no spark.",
		"Polyester resin gives off styrene while it is liquid and while it cures. The vapor is heavier than air, gathers low, catches fire and over time harms nerves and hearing. Draw air off at floor level, keep flames and sparks away, leave the room while it cures. " + Deferral},
	{Tin, "Tin catalyst",
		"Condensation silicone cures by an organotin catalyst: harmful on skin, possibly to fertility and to an unborn child. Measure it with gloves; not for food or skin molds.",
		"The catalyst of condensation silicone holds organotin compounds: harmful on skin, and by section 2 of many SDS possibly harmful to fertility and to an unborn child. Measure it with gloves and keep it off skin. Molds of it are not for food, nor for casting from the body. " +
			"Common practice doses it at 2 to 10 % of the base, as the bulletin says; more shortens the mold's life. " + Deferral},
	{Mercury, "Mercury in old jugs",
		"Some older urethane systems hold a mercury catalyst. Look at section 3 of the SDS; don't sand, burn or bin it.",
		"Some older urethane systems were made with a mercury catalyst (REACH Annex XVII entry 62, from memory). A jug of unknown age may be one: look at section 3 of its SDS. Don't sand or burn what was cast from it, and hand the rest in as hazardous waste. " + Deferral},
	{Exotherm, "Runaway heat",
		"Much resin in one place heats itself. While it is cool and liquid, spread leftovers thin in a tray outdoors; leave a warm or smoking cup alone, no lid, and go out.",
		"Resin warms itself as it cures, and a large batch, a thick section, a warm room or a leftover in the cup can run away: it smokes, boils and scorches. Stay below the bulletin's largest mass and depth. While a leftover is still cool and liquid, spread it thin in a tray outdoors. " +
			"A cup that is warm or smokes stays where it is, without a lid: don't carry it, don't breathe it, get everybody out and let air in. " + Deferral},
	{Hot, "Hot inside",
		"A thick or fast cast is hotter inside than it feels and can burn. Let it cool in the mold; it warps if pulled warm.",
		"A part from a thick or fast pour can be far above 60 °C inside when its skin feels only warm. Let it cool in the mold: taken out warm it burns fingers and bends for good. " + Deferral},
	{Pressure, "Pressure pots",
		"Only a vessel rated and marked for the pressure, with a working relief valve, never opened before the gauge reads zero.",
		"A pressure pot stores energy: 10 L at 60 psi holds about 10 kJ, and its lid carries more than a tonne. Use only a vessel rated and marked for that pressure (ASME BPVC Section VIII Division 1 or PED 2014/68/EU, from memory), with a relief valve that works and holds the pressure within 110 % of what the vessel is marked for (29 CFR 1917.155; 1910.169 has the same idea, from memory). A paint tank never goes past its label. " +
			"Never open it under pressure. Blow guns stay at or below 30 psi and never point at a person (29 CFR 1910.242(b)). " + Deferral},
	{Vacuum, "Vacuum chambers",
		"A chamber can implode: rated lid without a chip or scratch, eyes covered. Let the pump's oil mist out of the room.",
		"Air presses on an evacuated chamber with 10 tonnes a square meter; a 300 mm lid carries over 7 kN and a chipped one bursts inward. Use a lid rated for vacuum, look it over for chips and crazing each time, cover your eyes. The pump breathes oil mist: lead it outdoors. Resin foams up three to five times, so fill the cup to a quarter or a third. " + Deferral},
	{Heat, "Warming and post cure",
		"Never in a kitchen oven and never over an open flame. Vapor rises with heat: warm it where air is drawn off.",
		"Warm parts, molds and jugs in a box or oven kept for this work, never in one for food, and never over an open flame. Vapor rises steeply with heat, so draw the air off outdoors, heat slowly and stay within the bulletin. " + Deferral},
	{Fire, "Fire",
		"Solvent rags, and epoxy shavings in a heap, can light by themselves. A metal bin with a lid, emptied outdoors each day.",
		"Rags wet with solvent burn fast and some light by themselves, as can a heap of fresh epoxy shavings. Keep flames and pilot lights away, use as little solvent as does the job, and put rags and shavings into a metal bin with a lid that is emptied outdoors each day. " + Deferral},
	{Aerosol, "Sprays and release",
		"Release sprays are flammable and drift into lungs: no pilot light, moving air. They also spoil paint and glue nearby.",
		"Release agents in cans and their solvents are flammable, and the mist goes deep into the lungs. Spray where air moves away from you, with no flame or pilot light in the room. Silicone release drifts: it makes paint and glue fail on anything it settles on. " + Deferral},
	{Contamination, "Swapped caps and wet jugs",
		"A swapped cap or spoon gels a jug. A bulging jug has water in it: don't open it, don't move it, keep people away.",
		"A cap, pump or spoon that went from one part to the other starts a cure in the jug. Water in the isocyanate part makes carbon dioxide: a jug that got wet inside must never be sealed again, and a bulging one can burst. Don't open or move it, keep people away and follow the SDS. " + Deferral},
	{Dust, "Dust and powders",
		"Sanding dust, microspheres, silica and metal powders harm lungs, and some burn. Wet sanding or extraction; no sparks near metal powder.",
		"Dust of cured resin, hollow spheres, fumed and crystalline silica (29 CFR 1910.1053, from memory) and metal powders harm lungs; fine metal and organic dust can flash. Sand wet or with extraction, pour powders low and slowly, no sparks, no sweeping up dry, and the respirator that the SDS asks for. " + Deferral},
	{Food, "Food contact",
		"Nothing here makes a cast or mold fit for food. \"Food safe\" takes a tested, listed system and process.",
		"A cast, coating or mold touches food safely only if the whole system, its colorant and the way it is cured were tested and listed for it (21 CFR 177.2600 and 175.300, from memory). Our figures are no such advice, and neither is a hard, shiny surface. The same goes for anything worn in the mouth. " + Deferral},
	{Skin, "On the body",
		"Only materials sold for skin go on skin. No isocyanate, and no plaster over a hand: it sets hot and does not let go.",
		"Cast from the body, and make things that are worn on it, only with materials sold for skin, with help beside you and a way out of the mold. No liquid isocyanate. Plaster over a hand or limb heats as it sets and does not let go; it has cost people their fingers. " + Deferral},
	{Health, "Before you start",
		"Asthma, a pregnancy or an earlier rash from resin: ask a doctor before you touch anything uncured.",
		"If you have asthma, are pregnant, or have had a rash or tight chest from resin, glue or paint before, ask a doctor before you go near uncured resin. Tell the one who runs the class. " + Deferral},
	{Children, "Children and animals",
		"No liquid parts for minors, none in bedrooms, jugs locked away, pets out of the room.",
		"Liquid resin is no toy: no minors with open parts, no casting in bedrooms or kitchens, jugs locked away, pets out of the room until it has cured. In a class, one grown-up who knows the material to each bench. " + Deferral},
	{Label, "Labels",
		"Put the product's name and hazard label on every cup and jar you pour into.",
		"A new jar keeps its label and its data sheet close by. Whatever you pour off gets the product's name and hazard pictures on the new container, the day it is filled (29 CFR 1910.1200, from memory). Write the date opened on the jug. " + Deferral},
	{Waste, "Leftovers",
		"Let small leftovers cure, thin; liquid parts are hazardous waste. Never down the drain, never a big mix \"to cure it\".",
		"Cured solid is mostly ordinary waste; liquid parts mostly are not (40 CFR 261, and the European waste codes; from memory). Nothing goes down the drain. Don't pour large leftovers together to cure them, the heap runs away; hand liquids in. " + Deferral},
}
