package reference

// elsewhere is what other packages' own reference tests compute.
var elsewhere = map[string]string{
	"specific volume: cavity_in3 in3_per_lb":        "internal/quantity",
	"specific volume: density_g_ml":                 "internal/quantity",
	"specific volume: in3_per_lb":                   "internal/quantity",
	"unit conversion: density_g_ml volume_us_fl_oz": "internal/quantity",
	"unit conversion: text":                         "internal/quantity",
	"unit conversion: unit value":                   "internal/quantity",
}

// cureKinds are the kinds of cure.json and measured.json that the tests of
// internal/cure run, each entry with its gate.
var cureKinds = map[string]map[string]string{
	"cure.json": ownedBy("internal/cure", "adiabatic_rise", "adiabatic_time", "calibration", "composite_decay", "cup_geometry",
		"energy_balance", "ensemble", "fk_critical", "full_cure", "golden", "isothermal_G", "k10", "learning", "lhs",
		"shape_factor", "sim_k10", "transient_root", "transient_series"),
	"measured.json": ownedBy("internal/cure", "activation_energy", "exotherm_differences", "heat_of_cure", "isothermal_cure_shape",
		"kinetics_dsc_ramp", "peak_needs_heat", "rate_law_urethane", "storage_warmup", "temperature_factor_rubber"),
}

func ownedBy(where string, kinds ...string) map[string]string {
	owned := map[string]string{}
	for _, kind := range kinds {
		owned[kind] = where
	}
	return owned
}
