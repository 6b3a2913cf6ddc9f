// Package fault holds the one error type that a member may read. It answers
// "what was wrong, where, and what to type instead"; every other error is a
// failure of ours and its text stays in the log.
//
//	return fault.New(fault.OutOfRange, "thickness 3000 mm is more than 500 mm").
//		In("thickness").Hint("give the thickest section, such as 12 mm")
package fault

import (
	"errors"
	"fmt"
)

// Code names a class of refusal for machines. The list is closed: outside
// checks and the README rest on these words.
type Code string

// The codes, each raised for what its words say.
const (
	BadQuantity     Code = "bad_quantity"
	AmbiguousUnit   Code = "ambiguous_unit"
	AmbiguousNumber Code = "ambiguous_number"
	BadColor        Code = "bad_color"
	BadTime         Code = "bad_time"
	OutOfRange      Code = "out_of_range"
	MissingOption   Code = "missing_option"
	TooManyOptions  Code = "too_many_options"
	UnknownCommand  Code = "unknown_command"
	UnknownOption   Code = "unknown_option"
	UnknownMaterial Code = "unknown_material"
	UnknownMold     Code = "unknown_mold"
	UnknownTint     Code = "unknown_tint"
	UnknownFormula  Code = "unknown_formula"
	UnknownPour     Code = "unknown_pour"
	AmbiguousName   Code = "ambiguous_name"
	NotAllowed      Code = "not_allowed"
	NotFound        Code = "not_found"
	NameTaken       Code = "name_taken"
	LimitReached    Code = "limit_reached"
	BadFile         Code = "bad_file"
	FileTooLarge    Code = "file_too_large"
	HostileFile     Code = "hostile_file"
	NotWatertight   Code = "not_watertight"
	Unsupported     Code = "unsupported_colorant"
	NotReachable    Code = "not_reachable"
	TooLate         Code = "too_late"
	FormulaError    Code = "formula_error"
	FormulaLimit    Code = "formula_limit"
	PastDate        Code = "past_date"
	NotEnoughStock  Code = "not_enough_stock"
	Busy            Code = "busy"
	Unavailable     Code = "unavailable"
	Internal        Code = "internal"
)

// Choice is a value that an option would have taken, and how a button shows
// it. An empty Label shows the value.
type Choice struct{ Value, Label string }

// Error is a refusal in words for the member. Message says what was wrong and
// where; the hint says what to type instead. Choices, if any, are values that
// the named option would have taken, best first.
type Error struct {
	Code    Code
	Option  string
	Message string
	hint    string
	choices []Choice
	cause   error
}

// New makes a refusal. The message is a full sentence without its full stop.
func New(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Message: fmt.Sprintf(format, args...)}
}

// In names the option that the refusal is about, unless one is named already:
// the innermost place is the most exact.
func (e *Error) In(option string) *Error {
	if e.Option == "" {
		e.Option = option
	}
	return e
}

// Hint says what to type instead.
func (e *Error) Hint(format string, args ...any) *Error {
	e.hint = fmt.Sprintf(format, args...)
	return e
}

// Choose gives values that would have been taken, best first.
func (e *Error) Choose(values ...string) *Error {
	for _, v := range values {
		e.choices = append(e.choices, Choice{Value: v})
	}
	return e
}

// Offer is Choose with words of its own on each button.
func (e *Error) Offer(choices ...Choice) *Error {
	e.choices = append(e.choices, choices...)
	return e
}

// Because keeps the cause for the log; members never see it.
func (e *Error) Because(cause error) *Error {
	e.cause = cause
	return e
}

// HintText is what to type instead, or "".
func (e *Error) HintText() string { return e.hint }

// Choices are values that would have been taken, best first.
func (e *Error) Choices() []Choice { return e.choices }

// Error is for logs; transports read the fields.
func (e *Error) Error() string {
	s := string(e.Code) + ": " + e.Message
	if e.Option != "" {
		s += " (option " + e.Option + ")"
	}
	if e.cause != nil {
		s += ": " + e.cause.Error()
	}
	return s
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.cause }

// As finds the refusal inside err, or nil.
func As(err error) *Error {
	var f *Error
	if errors.As(err, &f) {
		return f
	}
	return nil
}

// Is reports whether err holds a refusal with that code.
func Is(err error, code Code) bool {
	f := As(err)
	return f != nil && f.Code == code
}
