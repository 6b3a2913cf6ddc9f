package commands

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/ical"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/shop"
)

// drawn adds the picture of a run.
func (r *runPlan) drawn(out *chat.Reply) error {
	pic := plot.Run{Span: float64(max(r.Finish.High, 1)), Rows: make([]plot.RunRow, len(r.molds))}
	for i, m := range r.molds {
		pic.Rows[i].Label = m.Name
	}
	if !r.by.IsZero() {
		if by := r.by.Sub(r.start).Seconds(); by <= 1.5*pic.Span {
			pic.Span = max(pic.Span, by)
			pic.Marks = []plot.RunTick{{At: by, Label: "wanted by " + shop.ClockText(r.by, r.start, r.c.By.Zone())}}
		}
	}
	bar := func(m int, k plot.RunKind, from, to int) {
		b := plot.RunBar{RunSpan: plot.RunSpan{From: float64(from), To: min(float64(to), pic.Span)}, Kind: k}
		pic.Rows[m].Bars = append(pic.Rows[m].Bars, b)
	}
	for i, m := range r.job.Molds {
		if m.Full {
			bar(i, plot.RunCure, 0, m.Out.High)
		}
	}
	for _, s := range r.Steps {
		for _, m := range s.Molds {
			switch s.Kind {
			case plan.Pour:
				bar(m, plot.RunPour, s.Start, s.End)
				bar(m, plot.RunCure, s.End, s.End+r.job.Molds[m].Cure.High)
			case plan.Demold:
				bar(m, plot.RunOut, s.Start, s.End)
			case plan.Coat:
				bar(m, plot.RunCoat, s.Start, s.End)
				bar(m, plot.RunWait, s.End, s.End+r.job.Hands.CoatWait)
			}
		}
	}
	pic.Closed, pic.Ticks = r.closed(pic.Span), r.ticks(pic.Span)
	data, err := pic.PNG()
	if err != nil {
		return fmt.Errorf("draw a run: %w", err)
	}
	out.Images = append(out.Images, chat.Image{Name: "run.png", Alt: pic.Alt(), Data: data})
	return nil
}

func (r *runPlan) closed(span float64) (closed []plot.RunSpan) {
	last := 0.0
	for _, w := range r.job.Open {
		if from := min(float64(w.From), span); from > last {
			closed = append(closed, plot.RunSpan{From: last, To: from})
		}
		if last = float64(w.To); last >= span {
			break
		}
	}
	return closed
}

// ticks are full hours of the clock, further apart the longer the run is; across
// days they are days.
func (r *runPlan) ticks(span float64) (ticks []plot.RunTick) {
	const most = 8
	zone := r.c.By.Zone()
	local := r.start.In(zone)
	for _, step := range []int{10, 20, 30, 60, 120, 180, 240, 360, 720, 1440, 2 * 1440, 7 * 1440, 14 * 1440, 28 * 1440, 91 * 1440} {
		if span/60/float64(step) > most {
			continue
		}
		form := "15:04"
		if step >= 1440 {
			form = "Mon 2 Jan"
		}
		first := local.Hour()*60 + local.Minute()
		for k := 0; k <= 2*most; k++ {
			minute := (first/step + k) * step
			at := shop.Wall(time.Date(local.Year(), local.Month(), local.Day(), 0, minute, 0, 0, time.UTC), zone)
			s := at.Sub(r.start).Seconds()
			if s < 0 || s > span {
				continue
			}
			label := at.In(zone).Format(form)
			if label == "00:00" {
				label = at.In(zone).Format("Mon 2")
			}
			ticks = append(ticks, plot.RunTick{At: s, Label: label})
		}
		return ticks
	}
	return nil
}

// calledAhead is how long before a chore a calendar calls.
const calledAhead = 2 * time.Minute

// calendar adds the file of all chores.
func (r *runPlan) calendar(out *chat.Reply) error {
	sum := sha256.Sum256([]byte(planLine(r.c, "run", nil) + " " + r.c.By.Member.Key))
	id := hex.EncodeToString(sum[:8])
	events := make([]ical.Event, len(r.chores))
	for i, ch := range r.chores {
		events[i] = ical.Event{ID: fmt.Sprintf("%s-%d@pourwright", id, i), From: r.at(ch.Start), To: r.at(ch.End), Title: ch.title, Text: ch.text, Alarm: calledAhead}
	}
	data, err := ical.Write(fmt.Sprintf("%d parts of %s", r.copies, r.material.Name), r.c.At, events)
	if err != nil {
		return fmt.Errorf("write a run's calendar: %w", err)
	}
	out.Files = append(out.Files, chat.File{Name: "run.ics", Data: data})
	return nil
}
