package config

import "slices"

// Key is one setting as it is called in the file. The environment calls it
// POURWRIGHT_ and the name in capitals; a flag writes dashes for underscores.
type Key struct {
	Name    string
	Help    string // one line for help pages and the README
	Default string // "" is "not set"
	Secret  bool   // never a flag and never in the settings file
}

// EnvPrefix begins the name of every variable that is ours.
const EnvPrefix = "POURWRIGHT_"

// keys are all settings there are. Their names are a contract.
var keys = []Key{
	{Name: "token", Help: "bot token; from the environment only", Secret: true},
	{Name: "token_file", Help: "file that holds the bot token and that only its owner can read"},
	{Name: "application_id", Help: "the application's id; else asked from the service"},
	{Name: "db", Help: "database file, or postgres://user@host/database", Default: "pourwright.db"},
	{Name: "api_base", Help: "REST base of the chat service; any but its own must be on this machine"},
	{Name: "shards", Help: "gateway shards in all; 0 takes the service's advice", Default: "0"},
	{Name: "shard", Help: "the one shard to run here; -1 runs them all", Default: "-1"},
	{Name: "log_level", Help: "debug, info, warn or error; not set, it is info for serve and warn elsewhere"},
	{Name: "log_format", Help: "text or json", Default: "text"},
	{Name: "board_listen", Help: "address for the boards of shops, such as 127.0.0.1:8090; not set, there are none"},
	{Name: "http_listen", Help: "address at which the chat service posts signed interactions to /interactions, such as 127.0.0.1:8080; not set, they come over the gateway"},
	{Name: "public_key", Help: "the application's public key, for http_listen: 64 hexadecimal digits"},
	{Name: "http_tls_cert", Help: "certificate file for http_listen; not set, it speaks plain HTTP and a proxy ends TLS"},
	{Name: "http_tls_key", Help: "key file of that certificate; both are read anew when they change"},
	{Name: "ops_listen", Help: "address where /healthz, /readyz and /metrics answer, such as 127.0.0.1:9090; not set, nowhere"},
	{Name: "retention_days", Help: "days that finished pours, past reminders and logs are kept by serve; 0 is forever", Default: "0"},
}

// Keys lists every setting.
func Keys() []Key { return slices.Clone(keys) }
