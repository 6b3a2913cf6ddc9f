package reference

import "github.com/pourwright/pourwright/internal/stock"

// stockForms are how long a jug keeps and how much to buy.
var stockForms = map[string]computes{
	"shelf life: q10 shelf_months_at_23c stored_c": func(e entry) (any, error) {
		return stock.ShelfAt(e.num("shelf_months_at_23c"), e.num("stored_c"), stock.ShelfTemp, e.num("q10")), nil
	},
	"planning: demand_per_week interest order_cost unit_cost weeks": func(e entry) (any, error) {
		return stock.OrderSize(e.num("demand_per_week")*e.num("weeks"), e.num("order_cost"), e.num("interest")*e.num("unit_cost")), nil
	},
	"planning: demand_per_year holding_per_unit_year order_cost": func(e entry) (any, error) {
		return stock.OrderSize(e.num("demand_per_year"), e.num("order_cost"), e.num("holding_per_unit_year")), nil
	},
	"planning: eoq_ml shelf_months_open use_per_month_ml": func(e entry) (any, error) {
		return stock.Lot(e.num("eoq_ml"), e.num("use_per_month_ml"), e.num("shelf_months_open")), nil
	},
}
