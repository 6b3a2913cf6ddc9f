package config

import (
	"errors"
	"fmt"
	"log/slog"
	"strconv"
	"strings"

	"github.com/spf13/viper"
)

// Config is every setting, read and checked.
type Config struct {
	Token         Secret `mapstructure:"-"`
	TokenFile     string `mapstructure:"token_file"`
	ApplicationID string `mapstructure:"application_id"`
	DB            string `mapstructure:"db"`
	APIBase       string `mapstructure:"api_base"` // "" is the service's own
	Shards        int    `mapstructure:"shards"`
	Shard         int    `mapstructure:"shard"`
	LogLevel      string `mapstructure:"log_level"` // "" lets the verb choose
	LogFormat     string `mapstructure:"log_format"`
	BoardListen   string `mapstructure:"board_listen"` // "" serves no boards
	OpsListen     string `mapstructure:"ops_listen"`   // "" serves neither health nor metrics
	HTTPListen    string `mapstructure:"http_listen"`  // "" answers over the gateway
	PublicKey     string `mapstructure:"public_key"`
	HTTPTLSCert   string `mapstructure:"http_tls_cert"` // "" speaks plain HTTP
	HTTPTLSKey    string `mapstructure:"http_tls_key"`

	RetentionDays int `mapstructure:"retention_days"` // 0 keeps all for ever

	// File is the settings file that was read, "" if there is none.
	File string `mapstructure:"-"`
}

// Source is where settings come from.
type Source struct {
	File    string            // a path; "" looks for pourwright.toml, .yaml or .json in Dir
	Dir     string            // where to look; "" is the working directory
	Environ []string          // "NAME=value", as os.Environ gives it
	Flags   map[string]string // by key, only those given
}

// Load reads all sources. The warnings are for the log; an error is for
// whoever started the program.
func Load(src Source) (*Config, []string, error) {
	v := viper.New()
	for _, k := range keys {
		if !k.Secret {
			// Unmarshal sees only keys that viper has heard of.
			v.SetDefault(k.Name, k.Default)
		}
	}
	file, err := readFile(v, src)
	if err != nil {
		return nil, nil, err
	}
	env, warnings := environment(src.Environ)
	token := env["token"]
	delete(env, "token")
	for name, value := range env {
		v.Set(name, value)
	}
	for name, value := range src.Flags {
		v.Set(name, value)
	}
	c := &Config{File: file}
	if err := wholeNumbers(v); err != nil {
		return nil, warnings, err
	}
	if err := v.UnmarshalExact(c); err != nil {
		return nil, warnings, fmt.Errorf("read the settings: %w", err)
	}
	if err := c.check(); err != nil {
		return nil, warnings, err
	}
	c.Token, err = readToken(token, c.TokenFile)
	return c, warnings, err
}

// wholeNumbers wants one where the default is one: the reader's own complaint
// says neither what stood there nor what to write.
func wholeNumbers(v *viper.Viper) error {
	var errs []error
	for _, k := range keys {
		if text := v.GetString(k.Name); isWhole(k.Default) && !isWhole(text) {
			errs = append(errs, fmt.Errorf("%s is %q; write a whole number", k.Name, text))
		}
	}
	return errors.Join(errs...)
}

func isWhole(text string) bool {
	_, err := strconv.Atoi(text)
	return err == nil
}

// Level is the wanted log level, or otherwise if none was set.
func (c *Config) Level(otherwise slog.Level) slog.Level {
	if c.LogLevel == "" {
		return otherwise
	}
	var l slog.Level
	if err := l.UnmarshalText([]byte(c.LogLevel)); err != nil {
		return otherwise // check has refused it before
	}
	return l
}

// environment picks our variables out, by key. Empty ones count as not set.
func environment(environ []string) (map[string]string, []string) {
	env := map[string]string{}
	var warnings []string
	for _, pair := range environ {
		name, value, _ := strings.Cut(pair, "=")
		rest, ours := strings.CutPrefix(name, EnvPrefix)
		if !ours || value == "" || isOtherUse(rest) {
			continue
		}
		key := strings.ToLower(rest)
		if !known(key) || rest != strings.ToUpper(rest) {
			warnings = append(warnings, unknown("environment variable "+name, key, func(k string) string {
				return EnvPrefix + strings.ToUpper(k)
			}))
			continue
		}
		env[key] = value
	}
	return env, warnings
}

// isOtherUse knows the variables with our prefix that are no setting: where
// the settings file is, and what the reference tests and the database tests
// are given.
func isOtherUse(rest string) bool {
	return rest == "CONFIG" || rest == "REFERENCE" || strings.HasPrefix(rest, "TEST_")
}

func known(name string) bool {
	for _, k := range keys {
		if k.Name == name {
			return true
		}
	}
	return false
}

// unknown words the complaint about a name nobody reads.
func unknown(what, key string, spell func(string) string) string {
	if near := nearest(key); near != "" {
		return fmt.Sprintf("%s is not known; did you mean %s?", what, spell(near))
	}
	return what + " is not known"
}
