// Package console is the terminal's edge: it reads lines, hands them to the
// dispatcher, and shows answers as text or as one JSON object. It computes
// nothing and decides nothing: every word about the job comes in the answer.
//
//	console.WriteJSON(os.Stdout, desk.Do(ctx, inv))
//
//	screen := console.NewScreen(os.Stdout, os.Environ())
//	err := (&console.Prompt{Desk: desk, Screen: screen, …}).Run(ctx)
//
// What members wrote is shown on a terminal of whoever asks, so nothing of it
// may be read as a command by that terminal: every text is cleaned of control
// and direction characters on its way out, and files are written under their
// last name only.
package console
