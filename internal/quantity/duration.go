package quantity

import "math"

// timeText writes seconds as a maker says them. The step grows with the time,
// so that no estimate looks sharper than it can be:
//
//	below 10 s     2 digits   "4.5 s"
//	below 2 min    1 s        "45 s", "1 min 30 s"
//	below 10 min   5 s        "3 min", "3 min 20 s"
//	below 10 h     1 min      "12 min", "1 h 20 min"
//	below 72 h     10 min     "16 h", "16 h 30 min"
//	below 14 days  1 h        "5 days", "5 days 6 h"
//	below 60 days  1 day      "21 days"
//	above          2 digits   "4 months"
func timeText(seconds float64) string {
	t := math.Abs(seconds)
	switch {
	case math.IsNaN(t) || math.IsInf(t, 0):
		return fixed(seconds, 0) + " s"
	case seconds < 0:
		return "−" + timeText(t)
	case t < 9.95:
		return significant(t, 2) + " s"
	case t >= 60*dayS:
		return plural(significant(t/monthS, 2), "month")
	}
	t = roundedTime(t)
	switch {
	case t < minuteS:
		return fixed(t, 0) + " s"
	case t < hourS:
		return pair(t, minuteS, " min", 1, " s")
	case t < 72*hourS:
		return pair(t, hourS, " h", minuteS, " min")
	}
	days := math.Floor(t / dayS)
	text := plural(fixed(days, 0), "day")
	if hours := math.Round((t - days*dayS) / hourS); hours > 0 {
		text += " " + fixed(hours, 0) + " h"
	}
	return text
}

func roundedTime(t float64) float64 {
	step := 1.0
	switch {
	case t >= 14*dayS:
		step = dayS
	case t >= 72*hourS:
		step = hourS
	case t >= 10*hourS:
		step = 10 * minuteS
	case t >= 10*minuteS:
		step = minuteS
	case t >= 2*minuteS:
		step = 5
	}
	return math.Round(t/step) * step
}

// pair writes t in a larger and, if anything is left, a smaller unit.
func pair(t, large float64, largeName string, small float64, smallName string) string {
	whole := math.Floor(t / large)
	text := fixed(whole, 0) + largeName
	if rest := math.Round((t - whole*large) / small); rest > 0 {
		text += " " + fixed(rest, 0) + smallName
	}
	return text
}

func plural(number, noun string) string {
	if number == "1" {
		return number + " " + noun
	}
	return number + " " + noun + "s"
}
