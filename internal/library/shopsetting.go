package library

import (
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

const meter = 1000 // mm

// ShopSettings are what a shop's answers take for granted, first what matters
// most to an answer.
func ShopSettings() []Setting[shop.Settings] {
	type set = shop.Settings
	return []Setting[set]{
		measured(chat.Option{Name: "temp", Help: "the room's usual temperature", Like: "21 C",
			Dims: []quantity.Dim{quantity.Temp}, Min: -20, Max: 60, Negative: true, Zero: true},
			"Room", 1, func(s *set) *float64 { return &s.Temp }),
		measured(chat.Option{Name: "humidity", Help: "the room's usual relative humidity", Like: "50 %",
			Dims: []quantity.Dim{quantity.Number}, Percent: true, Max: 1, Zero: true},
			"Humidity", 1, func(s *set) *float64 { return &s.Humidity }),
		measured(chat.Option{Name: "scale_step", Help: "smallest step that the shop's scale shows", Like: "0.1 g",
			Dims: []quantity.Dim{quantity.Mass}, Min: 0.0001, Max: 1000},
			"Scale step", 1, func(s *set) *float64 { return &s.ScaleStep }),
		worded(chat.Option{Name: "units", Help: "units that members read and type", Kind: chat.OneWord, Choices: systems},
			"Units", "", asTyped, func(s *set) *string { return &s.Units }),
		worded(chat.Option{Name: "zone", Help: "time zone of the shop's clock, by its IANA name", Like: "Europe/London", Suggest: SuggestZone},
			"Time zone", "", Zone, func(s *set) *string { return &s.Zone }),
		worded(chat.Option{Name: "currency", Help: "money of the prices, by its ISO 4217 code; none for none", Like: "GBP", Suggest: SuggestCurrency},
			"Currency", "none", Currency, func(s *set) *string { return &s.Currency }),
		altitude(),
		worded(chat.Option{Name: "channel", Help: "where the shop's own messages go; none for nowhere", Like: "casting", Length: 100},
			"Channel", "none", asTyped, func(s *set) *string { return &s.Channel }),
	}
}

// altitude is kept in m and read in the units of maps.
func altitude() Setting[shop.Settings] {
	a := measured(chat.Option{Name: "altitude", Help: "height above the sea; below it is negative", Like: "120 m",
		Dims: []quantity.Dim{quantity.Length}, Bare: "m", Min: -500 * meter, Max: 6000 * meter, Negative: true, Zero: true},
		"Altitude", meter, func(s *shop.Settings) *float64 { return &s.Altitude })
	inBase := a.Show
	a.Show = func(t shop.Settings, s quantity.System) chat.Fact {
		return inBase(t, s).Says(AltitudeText(t.Altitude, s))
	}
	return a
}
