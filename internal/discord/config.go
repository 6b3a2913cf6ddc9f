package discord

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"strings"
	"time"
)

// DefaultAPIBase is the service's own REST base, version 10.
const DefaultAPIBase = "https://discord.com/api/v10"

// Config is all that the edge needs to know. The zero value with a Token set
// is a working configuration.
type Config struct {
	// Token is the bot token, without the "Bot " prefix. It never reaches an
	// error or the log.
	Token string
	// ApplicationID is the application's id; empty asks the service.
	ApplicationID string
	// APIBase is the REST base, default DefaultAPIBase. Any other must be a
	// loopback address; attachments may then come from that host as well.
	APIBase string
	// Shards is how many shards the bot has in all; 0 takes the number that the
	// service advises and runs all of them here.
	Shards int
	// Shard is the one shard to run here when Shards is above 0; -1 runs all.
	Shard int
	// Listen is the address at which an Endpoint takes signed interactions, and
	// PublicKey the application's key that they are signed for. A Gateway looks
	// at neither.
	Listen, PublicKey string
	// TLSCert and TLSKey are the files of a certificate for Listen; without them
	// it speaks plain HTTP.
	TLSCert, TLSKey string
	// Version stands in the User-Agent; empty means "dev".
	Version string
	// AnswerIn is how long the service waits for a first answer; 0 is the 3 s of
	// the real one. One on this machine may be more patient.
	AnswerIn time.Duration
	// Workers is how many interactions are worked on at once; 0 means 16.
	Workers int
	// Log receives what operators need; nil discards it.
	Log *slog.Logger
	// Now is the clock; nil is the real one.
	Now func() time.Time
	// Watch is told what happens; nil if nobody counts.
	Watch Observer
}

// settled is a Config with every default filled in and every field checked.
type settled struct {
	Config
	base     *url.URL
	loopback bool
}

// ErrNoToken says that no bot token was configured.
var ErrNoToken = errors.New("no bot token is set")

func (c Config) settle() (settled, error) { return c.settleFor(true) }

// settleFor is settle for what may do without a token.
func (c Config) settleFor(needsToken bool) (settled, error) {
	if c.Token == "" && needsToken {
		return settled{}, ErrNoToken
	}
	if strings.ContainsFunc(c.Token, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return settled{}, errors.New("the bot token holds a space or a character that no token has")
	}
	if c.ApplicationID != "" && !isSnowflake(c.ApplicationID) {
		return settled{}, errors.New("application_id must be digits only")
	}
	if c.Shards < 0 || c.Shards > 0 && (c.Shard < -1 || c.Shard >= c.Shards) {
		return settled{}, fmt.Errorf("shard %d of %d does not exist", c.Shard, c.Shards)
	}
	if c.APIBase == "" {
		c.APIBase = DefaultAPIBase
	}
	base, loopback, err := parseBase(c.APIBase)
	if err != nil {
		return settled{}, err
	}
	if c.AnswerIn == 0 || !loopback {
		c.AnswerIn = answerIn
	}
	if c.Version == "" {
		c.Version = "dev"
	}
	if c.Workers <= 0 {
		c.Workers = 16
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Watch == nil {
		c.Watch = nobodyWatches{}
	}
	return settled{Config: c, base: base, loopback: loopback}, nil
}

// parseBase takes the service's own base or one on this machine, so that a
// token can't be sent to a stranger by a slip in the configuration.
func parseBase(text string) (base *url.URL, loopback bool, err error) {
	base, err = url.Parse(strings.TrimRight(text, "/"))
	if err != nil || base.Host == "" || base.User != nil || base.RawQuery != "" || base.Fragment != "" {
		return nil, false, errors.New("api_base is not a plain http(s) address")
	}
	if base.String() == DefaultAPIBase {
		return base, false, nil
	}
	if base.Scheme != "http" && base.Scheme != "https" {
		return nil, false, fmt.Errorf("api_base has scheme %q, not http or https", base.Scheme)
	}
	if !isLoopbackHost(base.Hostname()) {
		return nil, false, fmt.Errorf("api_base %s is neither %s nor on this machine", base.Host, DefaultAPIBase)
	}
	return base, true, nil
}

// isLoopbackHost reports whether the host is a loopback address as written. A
// name other than localhost could change its address after the check.
func isLoopbackHost(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// isSnowflake reports whether s looks like one of the service's ids: a 64-bit
// number in decimal.
func isSnowflake(s string) bool {
	if s == "" || len(s) > 20 {
		return false
	}
	for _, r := range s {
		if r < '0' || r > '9' {
			return false
		}
	}
	return true
}
