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

// altitude is kept in m and read in the units of maps. Where nobody said it
// there is none, which a form leaves empty.
func altitude() Setting[shop.Settings] {
	return Setting[shop.Settings]{
		Option: chat.Option{Name: "altitude", Help: "height above the sea, below it is negative; none if you don't know", Like: "120 m", Kind: chat.Measure,
			Dims: []quantity.Dim{quantity.Length}, Bare: "m", Min: -500 * meter, Max: 6000 * meter, Negative: true, Zero: true, None: true},
		Set: func(c *chat.Call, set *shop.Settings) error {
			set.Altitude = shop.Altitude{}
			if !c.None("altitude") {
				set.Altitude = shop.At(c.Value("altitude", 0) / meter)
			}
			return nil
		},
		Show: func(set shop.Settings, s quantity.System) chat.Fact {
			if !set.Altitude.Known {
				return chat.Fact{Key: "altitude", Label: "Altitude", Value: "not set", Text: "not set, so sea level is taken"}
			}
			return chat.Num("altitude", "Altitude", set.Altitude.M*meter, quantity.Length, s).Says(AltitudeText(set.Altitude.M, s))
		},
		Empty: func(set shop.Settings) bool { return !set.Altitude.Known },
	}
}
