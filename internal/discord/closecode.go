package discord

import (
	"errors"
	"fmt"
)

// fatalCloses are the close codes after which connecting again is pointless
// or forbidden, with what the operator can do (Opcodes, "Gateway Close Event
// Codes"). After all others, and after no code at all, we connect again.
var fatalCloses = map[int]string{
	4004: "the bot token was refused: set a new one",
	4010: "the shard number does not exist: check shard and shards",
	4011: "the bot is in too many servers for one shard: raise shards",
	4012: "the service no longer speaks this version of its gateway: update the program",
	4013: "the intents are wrong: update the program",
	4014: "the intents are not allowed for this bot: check its page at the service",
}

// FatalError says that the gateway can't be used until somebody changes
// something.
type FatalError struct {
	Code   int // close code, 0 when it came from elsewhere
	Remedy string
}

// Error gives the close code and the remedy.
func (e *FatalError) Error() string {
	return fmt.Sprintf("the service closed the gateway with code %d: %s", e.Code, e.Remedy)
}

// fatal turns the end of a connection into the error that stops everything,
// or nil when connecting again is right.
func fatal(err error) error {
	var closed *closedError
	if errors.As(err, &closed) {
		if remedy, ok := fatalCloses[closed.code]; ok {
			return &FatalError{Code: closed.code, Remedy: remedy}
		}
	}
	if errors.Is(err, ErrUnauthorized) {
		return err
	}
	return nil
}
