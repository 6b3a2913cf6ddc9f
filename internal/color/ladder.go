package color

import "math"

// Rungs is the number of doses on a ladder.
const Rungs = 5

// rungFactor is the step between rungs: half the dose is about as visible as
// twice it.
const rungFactor = 2

// Ladder looks at five doses around a recipe, from a quarter to four times as
// much of every tint, for a picture to choose from by eye. Where four times is
// over the load limit the top rung is at the limit and the steps are even below
// it. Errors: those of Predict; a recipe without tint gives the bare base once.
func Ladder(r Recipe) ([]Prediction, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	load := r.load()
	if load == 0 {
		p, err := Predict(r)
		return []Prediction{p}, err
	}
	const top = Rungs / 2
	highest := math.Pow(rungFactor, top)
	if limit := r.limit(); load*highest > limit {
		// A dose over the limit stays on its own ladder, at the top.
		highest = max(limit/load, 1)
	}
	var out []Prediction
	for i := range Rungs {
		rung := r
		rung.Doses = scaled(r.Doses, highest*math.Pow(rungFactor, float64(i-Rungs+1)))
		p, err := Predict(rung)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// scaled is every dose times a factor.
func scaled(doses []Dose, by float64) []Dose {
	out := make([]Dose, len(doses))
	for i, d := range doses {
		out[i] = Dose{d.Tint, d.Part * by}
	}
	return out
}
