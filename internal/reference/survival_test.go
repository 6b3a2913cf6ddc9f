package reference

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/moldcare"
)

// survivalForms are the life of molds against published survival data: a
// patient's week is a pull, and still in remission is still in use.
var survivalForms = map[string]computes{
	"survival: data":         ofData,
	"survival: data t":       ofData,
	"survival: data t times": ofData,
	"survival: event times": func(e entry) (any, error) {
		lives, events := sixMP(), 0.0
		for i, at := range e.list("times") {
			given := moldcare.Life{End: at, Failed: e.list("event")[i] == 1}
			if lives[i] != given {
				return nil, fmt.Errorf("life %d is %+v here and %+v there", i, lives[i], given)
			}
		}
		for _, s := range moldcare.KaplanMeier(lives) {
			events += float64(s.Failed)
		}
		return events, nil
	},
	"survival: groups": func(e entry) (any, error) {
		var groups [2][]moldcare.Life
		for i, name := range e.Input["groups"].([]any) {
			lives, err := published(name.(string))
			if err != nil {
				return nil, err
			}
			groups[i] = lives
		}
		return moldcare.LogRank(groups[0], groups[1]), nil
	},
	"survival: censored censored_at times": func(e entry) (any, error) {
		var lives []moldcare.Life
		for _, at := range e.list("times") {
			lives = append(lives, moldcare.Life{End: at, Failed: true})
		}
		for range int(e.num("censored")) {
			lives = append(lives, moldcare.Life{End: e.num("censored_at")})
		}
		return ofLives(e, lives)
	},
	"survival: confidence failures trials": func(e entry) (any, error) {
		if e.num("failures") != 0 {
			return nil, fmt.Errorf("only trials without a failure are known")
		}
		return moldcare.NoneIn(int(e.num("trials")), e.num("confidence")), nil
	},
	"survival: pulls_so_far scale shape": func(e entry) (any, error) {
		return moldcare.Weibull{Scale: e.num("scale"), Shape: e.num("shape")}.Risk(e.num("pulls_so_far"), 1), nil
	},
	"survival: scale shape": func(e entry) (any, error) {
		return moldcare.Weibull{Scale: e.num("scale"), Shape: e.num("shape")}.Median(), nil
	},
	"sampling: confidence good pulls": func(e entry) (any, error) {
		if e.num("confidence") != 0.95 {
			return nil, fmt.Errorf("only a confidence of 95 %% is known")
		}
		r := moldcare.GoodRate(int(e.num("good")), int(e.num("pulls")))
		if e.ID == "wilson-low" {
			return r.Low, nil
		}
		return r.High, nil
	},
	"common practice: step": says("step", map[string]computes{
		"after a release coat": ours(moldcare.ReleaseWaitLeast/60, moldcare.ReleaseWait/60),
	}),
}

// sixMP and placebo are the remissions in weeks of Freireich et al., Blood 21
// (1963) 699, treated and not.
func sixMP() []moldcare.Life {
	times := []float64{6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35}
	ended := []bool{true, true, true, false, true, false, true, false, false, true, true, false, false, false, true, true, false, false, false, false, false}
	lives := make([]moldcare.Life, len(times))
	for i, at := range times {
		lives[i] = moldcare.Life{End: at, Failed: ended[i]}
	}
	return lives
}

func placebo() (lives []moldcare.Life) {
	for _, at := range []float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23} {
		lives = append(lives, moldcare.Life{End: at, Failed: true})
	}
	return lives
}

func published(name string) ([]moldcare.Life, error) {
	switch name {
	case "6mp":
		return sixMP(), nil
	case "placebo":
		return placebo(), nil
	}
	return nil, fmt.Errorf("no data are called %q", name)
}

func ofData(e entry) (any, error) {
	lives, err := published(e.text("data"))
	if err != nil {
		return nil, err
	}
	return ofLives(e, lives)
}

// ofLives gives what the entry's unit asks for.
func ofLives(e entry, lives []moldcare.Life) (any, error) {
	steps := moldcare.KaplanMeier(lives)
	median, _ := moldcare.MedianOf(steps)
	fit, err := moldcare.Fit(lives)
	if err != nil {
		return nil, err
	}
	known := map[string]float64{
		"median": median, "scale": fit.Scale, "shape": fit.Shape, "mean": fit.Mean(), "standard deviation": fit.SD(),
		"log-likelihood": fit.LogLikelihood(lives), "events per unit time": moldcare.Exposure(lives),
		"S(500)": moldcare.SurvivalAt(steps, 500).Survival,
	}
	if _, at := e.Input["t"]; at {
		s := moldcare.SurvivalAt(steps, e.num("t"))
		known["S(t)"], known["standard error"], known["cumulative hazard"] = s.Survival, s.Error, s.Hazard
	}
	return e.pick(known)
}
