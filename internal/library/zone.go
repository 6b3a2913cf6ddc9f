package library

import (
	"context"
	_ "embed"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

//go:embed zones.txt
var zonesText string

// zones lists the names that are offered.
var zones = sync.OnceValue(func() []string {
	return slices.DeleteFunc(strings.Split(zonesText, "\n"), func(line string) bool {
		return line == "" || line[0] == '#'
	})
})

// Zone gives the IANA name of the time zone that a member typed, whatever its
// case and spaces: "europe/london", "america/new york". A place alone is
// offered, not taken, since more than one may have that name. Errors: bad_time.
func Zone(typed string) (string, error) {
	typed = strings.TrimSpace(typed)
	for _, name := range zones() {
		if name == typed || spoken(name) == spoken(typed) {
			return name, nil
		}
	}
	// Old and rare names ("Etc/GMT+5") are in the database and not offered.
	if _, err := time.LoadLocation(typed); err == nil && typed != "" && typed != "Local" {
		return typed, nil
	}
	f := fault.New(fault.BadTime, "%q is no time zone", fault.Echo(typed)).
		Hint("give a place of the time zone database, such as Europe/London or America/New_York")
	near := nearZones(typed)
	if len(near) > 0 {
		f.Hint("did you mean %s?", near[0]).Choose(near...)
	}
	return "", f
}

// SuggestZone completes a time zone.
func SuggestZone(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	if strings.TrimSpace(typed) == "" {
		return chat.Narrow("", zones()), nil
	}
	var out []chat.Choice
	for _, name := range nearZones(typed) {
		out = append(out, chat.Choice{Value: name})
	}
	return out, nil
}

func nearZones(typed string) []string {
	byWords := make(map[string]string, len(zones()))
	words := make([]string, len(zones()))
	for i, name := range zones() {
		words[i] = spoken(name)
		byWords[words[i]] = name
	}
	var out []string
	for _, w := range chat.Nearest(spoken(typed), words) {
		out = append(out, byWords[w])
	}
	return slices.Concat(out, placesNear(spoken(typed), out))
}

// placesNear finds slips in a place's own name: "Lodnon" is near "London",
// though not near "Europe/London".
func placesNear(typed string, have []string) []string {
	var places []string
	byPlace := map[string]string{}
	for _, name := range zones() {
		place := spoken(name[strings.LastIndexByte(name, '/')+1:])
		places = append(places, place)
		byPlace[place] = name
	}
	var out []string
	for _, p := range chat.Nearest(typed, places) {
		if name := byPlace[p]; !slices.Contains(have, name) && len(have)+len(out) < 5 {
			out = append(out, name)
		}
	}
	return out
}

var zoneSpaces = strings.NewReplacer("_", " ", "/", " ")

func spoken(zone string) string { return chat.Fold(zoneSpaces.Replace(zone)) }
