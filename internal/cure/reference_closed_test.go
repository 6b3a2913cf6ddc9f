package cure

import (
	"math"
	"testing"
)

func refIsothermalG(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		B, A float64
		N    int
	}](t, c)
	if v.N == 0 {
		v.N = 2
	}
	compare(t, c, map[string]any{"G": Law{B: v.B, N: v.N}.G(v.A)})
}

func refK10(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		E float64 `json:"E_J_mol"`
		T float64 `json:"T_K"`
	}](t, c)
	compare(t, c, map[string]any{
		"rate_ratio":         Law{K: 1, E: v.E, Tb: defaultTemp}.At(v.T),
		"time_factor_plus10": TimeFactor(v.E, v.T+10-zeroC, v.T-zeroC),
	})
}

func refFullCure(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		Full float64 `json:"full_cure_s"`
		Tb   float64 `json:"T_bulletin_K"`
		E    float64 `json:"E_J_mol"`
		T    float64 `json:"T_K"`
	}](t, c)
	compare(t, c, map[string]any{"t_s": v.Full * timeFactor(v.E, v.T, v.Tb)})
}

func refAdiabaticRise(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		H  float64 `json:"H_J_kg"`
		Cp float64 `json:"cp_J_kgK"`
	}](t, c)
	compare(t, c, map[string]any{"dT_K": AdiabaticRise(v.H, v.Cp)})
}

func refShapeFactor(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		V float64 `json:"V_m3"`
		A float64 `json:"A_m2"`
		R float64 `json:"R_m"`
	}](t, c)
	s, _ := ShapeFactor(v.R, v.A, v.V)
	compare(t, c, map[string]any{"s": s})
}

func refCupGeometry(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		Mass float64 `json:"mass_kg"`
		Rho  float64 `json:"rho_kg_m3"`
	}](t, c)
	b := cup(v.Mass, stuff{0.2, v.Rho, 1850}, 0, surface, defaultTemp)
	compare(t, c, map[string]any{"R_m": b.r, "s": b.s})
}

func refHypercube(t *testing.T, _ *refFile, c refCheck) {
	v := in[struct {
		Seed uint64
		N    int
		Dims []string
	}](t, c)
	if v.N != draws || len(v.Dims) != dims {
		t.Fatalf("%d draws of %d dimensions are wanted, %d of %d are built", v.N, len(v.Dims), draws, dims)
	}
	rng := splitmix(v.Seed)
	var first []string
	for range 3 {
		first = append(first, utoa(rng.next()))
	}
	u := hypercube(v.Seed)
	compare(t, c, map[string]any{"splitmix_first3": first, "row0": u[0][:], "row63": u[63][:]})
}

func utoa(v uint64) string {
	if v < 10 {
		return string(rune('0' + v))
	}
	return utoa(v/10) + string(rune('0'+v%10))
}

func refLearning(t *testing.T, _ *refFile, c refCheck) {
	type log struct {
		Pred  float64 `json:"pred_s"`
		Ready float64 `json:"ready_by_s"`
		Soft  float64 `json:"soft_at_s"`
	}
	v := in[struct {
		Logs  []log
		Prior float64 `json:"prior_sd"`
		Obs   float64 `json:"obs_sd"`
		Slip  float64 `json:"slip"`
	}](t, c)
	if v.Prior != priorSD || v.Obs != pourSD || v.Slip != slip {
		t.Skipf("the model is built for a prior of %v, a scatter of %v and slips of %v", priorSD, pourSD, slip)
	}
	var logs []Log
	for _, l := range v.Logs {
		logs = append(logs, Log{Pred: l.Pred, ReadyBy: l.Ready, SoftAt: l.Soft})
	}
	l := Learn(logs)
	compare(t, c, map[string]any{"theta_p10": l.Theta(0.1), "theta_p50": l.Theta(0.5), "theta_p90": l.Theta(0.9), "factor_p50": l.Factor(0.5)})
}

// bessel is J_v(z) for z > 0 by its series and, where that loses digits, not
// at all: the checks stay below z = 30.
func bessel(v, z float64) float64 {
	sum, term := 0.0, math.Pow(z/2, v)/math.Gamma(v+1)
	for k := 0; k < 200; k++ {
		sum += term
		term *= -(z / 2) * (z / 2) / (float64(k+1) * (float64(k+1) + v))
	}
	return sum
}
