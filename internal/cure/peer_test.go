package cure

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"
)

// standard is the case that is compared: a fast urethane 25 mm thick in 10 mm
// of silicone, to 600 s.
func standard() (body, Law) {
	b := sheet(0.025, stuff{0.2, 1050, 1850}, 200e3, surface, 1, defaultTemp)
	return b, Law{K: 7.32e-4, E: 57e3, B: 3, N: 2, Tb: defaultTemp}
}

const standardEnd = 600.0

// standardRun solves it once and leaves the steps in s.
func standardRun(s *solver, b *body, law Law, tol float64) {
	s.start(b, law, cellsFor(b), tol)
	s.run(goal{until: standardEnd}, nil)
}

// BenchmarkStandard is one solve.
func BenchmarkStandard(b *testing.B) {
	body, law := standard()
	var s solver
	b.ReportAllocs()
	for b.Loop() {
		standardRun(&s, &body, law, defaultTol)
	}
	b.ReportMetric(float64(len(s.steps)-1), "steps")
}

// BenchmarkPeer solves the standard case here and by scipy's BDF and LSODA in
// the same run, on the same cells and at tolerances with which their error
// against a solution at 1e-10 is no larger than ours. It needs python3 with
// scipy and says so where they are not there.
func BenchmarkPeer(b *testing.B) {
	python := pythonWithScipy()
	if python == "" {
		b.Skip("no python3 with scipy (Debian: python3-scipy)")
	}
	body, law := standard()
	var s solver
	// The state at the times that are compared: the ends of our own steps.
	times, states := record(&s, &body, law)
	best := time.Duration(1 << 62)
	for b.Loop() {
		began := time.Now()
		standardRun(&s, &body, law, defaultTol)
		best = min(best, time.Since(began))
	}
	s.start(&body, law, cellsFor(&body), defaultTol)
	in, err := json.Marshal(map[string]any{
		"part_cells": s.n, "cells": s.all, "low": s.low, "up": s.up, "share": s.share, "air": s.air, "rise": s.rise,
		"ln_k": s.lnKc, "e_over_r": s.ec, "b": law.B, "start": s.temp, "times": times, "own": states, "repeats": 7,
	})
	if err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command(python, "testdata/peer.py")
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	data, err := cmd.Output()
	if err != nil {
		b.Fatalf("peer: %v", err)
	}
	var out struct {
		Scipy    string  `json:"scipy"`
		OwnError float64 `json:"own_error"`
		Methods  map[string]struct{ Tol, Error, Seconds float64 }
	}
	if err := json.Unmarshal(data, &out); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(best.Nanoseconds())/1e3, "own-µs")
	for _, name := range []string{"BDF", "LSODA"} {
		m := out.Methods[name]
		b.Logf("scipy %s %s: %.2f ms at tolerance %.1e (error %.1e, ours %.1e)", out.Scipy, name, 1e3*m.Seconds, m.Tol, m.Error, out.OwnError)
		b.ReportMetric(m.Seconds/best.Seconds(), "x-"+name)
	}
}

// record gives the ends of the standard run's steps and the state at each, the
// state in the peer's order: T0 a0 T1 a1 … and then the wall.
func record(s *solver, b *body, law Law) (times []float64, states [][]float64) {
	s.start(b, law, cellsFor(b), defaultTol)
	at := 0.0
	for at < standardEnd {
		at += s.step()
		var y []float64
		for i, t := range s.temp {
			y = append(y, t)
			if i < s.n {
				y = append(y, s.conv[i])
			}
		}
		times, states = append(times, at), append(states, y)
	}
	return times, states
}

// pythonWithScipy finds a python3 that has scipy, or "".
func pythonWithScipy() string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import scipy, numpy").Run() == nil {
			return name
		}
	}
	return ""
}
