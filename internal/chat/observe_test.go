package chat_test

import (
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// tally keeps what an observer is told.
type tally []string

func (c *tally) Answered(command string, code fault.Code, took time.Duration) {
	*c = append(*c, fmt.Sprintf("%s|%s|%s", command, code, took))
}

// A call is counted once, by names that are declared and never by what was
// typed; a card drawn anew is nobody's call.
func TestObserver(t *testing.T) {
	house, told := newHouse(), &tally{}
	d, err := chat.New(chat.Config{Commands: commands(), People: house, Lines: house, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "k3f9-2m" }, Now: func() time.Time { return noon }, Watch: told})
	if err != nil {
		t.Fatal(err)
	}
	hostile := strings.Repeat(`a"}{<@everyone>`, 20)
	renewed := line(ada(), "/word word:pull")
	renewed.Renewal = true
	named := ada()
	named.Command, named.Sub = hostile, hostile
	for _, inv := range []chat.Invocation{
		line(ada(), "/word word:pull"), line(ada(), "/mix"), line(ada(), "/"+hostile), line(ada(), "/thing "+hostile),
		line(ada(), "/thing add name:"+`"`+`x`+`"`), named, pressed(ada(), hostile), renewed,
	} {
		d.Do(t.Context(), inv)
	}
	want := []string{"word||0s", "mix|missing_option|0s", "|unknown_command|0s", "thing|unknown_command|0s", "thing add||0s", "|unknown_command|0s", "|not_found|0s"}
	if !slices.Equal(*told, want) {
		t.Errorf("told %q\nwant %q", *told, want)
	}
}
