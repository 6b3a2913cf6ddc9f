package forecast

import (
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/shop"
)

// MoldSite is where a pour into one stored mold goes that no option of its own
// names, at the room that the call tells. Errors: missing_option where the mold
// does not say its sections.
func (d *Desk) MoldSite(c *chat.Call, m shop.Material, mold shop.Mold) (Site, error) {
	s := Site{Setup: cure.Setup{Room: c.Value("temp", c.By.Shop.Set.Temp), Humidity: c.By.Shop.Set.Humidity, System: c.By.System()},
		Molds: []shop.Mold{mold}}
	err := s.fillMolds(c, m)
	return s, err
}
