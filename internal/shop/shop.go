// Package shop is who keeps what: members, their shops, and the records they
// own, with the one rule of who may see and change them. It holds no SQL; the
// interfaces here are filled by package store.
package shop

import (
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/quantity"
)

// MemberID and ID are row numbers of a member and a shop.
type (
	MemberID int64
	ID       int64
)

// Member is one person. Key is stable and namespaced: "local:ada" for the
// terminal and the bench, "discord:80351110224678912" for chat; the two never
// mix.
type Member struct {
	ID   MemberID
	Key  string
	Name string // as last seen; untrusted text
	Pref Prefs
}

// Prefs are a member's own wishes; the zero value follows the shop.
type Prefs struct {
	Units      string `json:"units,omitempty"`       // metric, us, imperial or "" = the shop's
	Zone       string `json:"zone,omitempty"`        // IANA name or "" = the shop's
	QuietHours string `json:"quiet_hours,omitempty"` // "22:00-07:00" or ""
	Ready      string `json:"ready,omitempty"`       // p50, p90 or "" = p90
	To         string `json:"to,omitempty"`          // here, dm or "" = here
}

// Settings are a shop's defaults. NewSettings gives those of a new shop.
type Settings struct {
	Units     string   `json:"units"`      // metric, us, imperial
	Temp      float64  `json:"temp"`       // °C, the room
	Humidity  float64  `json:"humidity"`   // fraction, relative
	Altitude  Altitude `json:"altitude"`   // of the shop; zero is not said
	Zone      string   `json:"zone"`       // IANA name
	Currency  string   `json:"currency"`   // ISO 4217 code or ""
	ScaleStep float64  `json:"scale_step"` // g, the smallest step of the shop's scale
	Channel   string   `json:"channel,omitempty"`
}

// NewSettings are those of a shop nobody has set up: metric, 21 °C, 50 % RH,
// UTC, no currency, a scale that shows 0.1 g.
func NewSettings() Settings {
	return Settings{Units: "metric", Temp: 21, Humidity: 0.5, Zone: "UTC", ScaleStep: 0.1}
}

// Shop is one group of members: a chat server, or "kettle-lane" locally. Key
// is namespaced like a member's: "local:kettle-lane", "discord:197038439483310086".
type Shop struct {
	ID   ID
	Key  string
	Name string // untrusted text
	Set  Settings
}

// Viewer is who asks, and where. Every read and write of a record takes one.
type Viewer struct {
	Member  Member
	Shop    Shop
	Manager bool // may set the shop up
}

// OwnShop reports a shop that nobody else asks from: a chat service's member in
// direct messages has one, under the member's own key. Local shops are named
// by people, who may name one like a member.
func (v Viewer) OwnShop() bool {
	return v.Shop.Key == v.Member.Key && !strings.HasPrefix(v.Shop.Key, "local:")
}

// System is the unit system the viewer reads and types in.
func (v Viewer) System() quantity.System {
	u := v.Member.Pref.Units
	if u == "" {
		u = v.Shop.Set.Units
	}
	switch u {
	case "us":
		return quantity.US
	case "imperial":
		return quantity.Imperial
	}
	return quantity.Metric
}

// Zone is the time zone the viewer reads times in, UTC if none is known.
func (v Viewer) Zone() *time.Location {
	for _, name := range []string{v.Member.Pref.Zone, v.Shop.Set.Zone} {
		if name == "" {
			continue
		}
		if loc, err := time.LoadLocation(name); err == nil {
			return loc
		}
	}
	return time.UTC
}

// Stamp marks a write: by whom, when, and under which interaction, whose id is
// stored in the same transaction so that a repeat writes nothing.
type Stamp struct {
	By          Viewer
	At          time.Time
	Interaction string // "" for local use
}
