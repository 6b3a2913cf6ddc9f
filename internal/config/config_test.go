package config_test

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/config"
)

// write puts a file into a new folder and returns both paths.
func write(t *testing.T, name, text string, mode os.FileMode) (dir, path string) {
	t.Helper()
	dir = t.TempDir()
	path = filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
	return dir, path
}

// key has the shape of an application's public key.
var key = strings.Repeat("5a", 32)

func TestDefaults(t *testing.T) {
	got, warnings, err := config.Load(config.Source{Dir: t.TempDir()})
	if err != nil || len(warnings) > 0 {
		t.Fatalf("warnings %q, error %v", warnings, err)
	}
	want := &config.Config{DB: "pourwright.db", Shard: -1, LogFormat: "text"}
	if d := cmp.Diff(want, got, cmp.Comparer(sameSecret)); d != "" {
		t.Errorf("defaults differ (-want +got):\n%s", d)
	}
}

func sameSecret(a, b config.Secret) bool { return a.Reveal() == b.Reveal() }

// The later source wins, key by key, in each file format.
func TestLaterSourceWins(t *testing.T) {
	files := map[string]string{
		"pourwright.toml": "db = \"file.db\"\nshards = 4\nshard = 1\nlog_level = \"debug\"\n",
		"pourwright.yaml": "db: file.db\nshards: 4\nshard: 1\nlog_level: debug\n",
		"pourwright.json": `{"db":"file.db","shards":"4","shard":"1","log_level":"debug"}`,
	}
	for name, text := range files {
		t.Run(name, func(t *testing.T) {
			dir, path := write(t, name, text, 0o644)
			got, _, err := config.Load(config.Source{
				Dir:     dir,
				Environ: []string{"POURWRIGHT_SHARD=2", "POURWRIGHT_LOG_LEVEL=warn", "POURWRIGHT_DB=", "HOME=/nowhere"},
				Flags:   map[string]string{"log_level": "error"},
			})
			if err != nil {
				t.Fatal(err)
			}
			want := &config.Config{DB: "file.db", Shards: 4, Shard: 2, LogLevel: "error", LogFormat: "text", File: path}
			if d := cmp.Diff(want, got, cmp.Comparer(sameSecret)); d != "" {
				t.Errorf("settings differ (-want +got):\n%s", d)
			}
		})
	}
}

// Every refusal names the key, where it stood and what to write instead.
func TestRefused(t *testing.T) {
	tests := []struct {
		name string
		file string // content of pourwright.toml
		env  []string
		want []string // parts of the message
	}{
		{"unknown key with a near one", `tokn_file = "x"`, nil, []string{"pourwright.toml", `"tokn_file"`, "token_file?"}},
		{"unknown key near nothing", `colour = "x"`, nil, []string{`"colour"`, "not known"}},
		{"two unknown keys are both named", "zzz = 1\nyyy = 2", nil, []string{`"zzz"`, `"yyy"`}},
		{"table", "[db]\npath = \"x\"", nil, []string{`"db.path"`}},
		{"broken file", "db = ", nil, []string{"pourwright.toml"}},
		{"token in the file", `token = "abc"`, nil, []string{"must not stand in the settings file", "POURWRIGHT_TOKEN"}},
		{"rounded id", "application_id = 1.0e18", nil, []string{"application_id", "quotes"}},
		{"level", `log_level = "loud"`, nil, []string{"log_level", `"loud"`, "warn"}},
		{"format", "", []string{"POURWRIGHT_LOG_FORMAT=xml"}, []string{"log_format", `"xml"`, "json"}},
		{"no number", "", []string{"POURWRIGHT_SHARDS=two"}, []string{"shards", `"two"`, "whole number"}},
		{"half a shard", `shards = "1.5"`, nil, []string{"shards", `"1.5"`, "whole number"}},
		{"two that are no numbers", "shards = true\nshard = [1]", nil, []string{"shards is", "shard is"}},
		{"negative shards", "shards = -1", nil, []string{"shards", "0 or more"}},
		{"shard out of range", "shards = 2\nshard = 2", nil, []string{"shard is 2", "0 to 1"}},
		{"shard alone", "shard = 0", nil, []string{"shards"}},
		{"application id", `application_id = "my bot"`, nil, []string{"application_id", `"my bot"`}},
		{"base elsewhere", `api_base = "https://example.org/api"`, nil, []string{"api_base", "example.org", "loopback"}},
		{"base with a lookalike name", `api_base = "http://127.0.0.1.example.org/api"`, nil, []string{"api_base"}},
		{"base with a user", `api_base = "http://127.0.0.1@example.org/"`, nil, []string{"api_base"}},
		{"base of another kind", `api_base = "file:///etc/passwd"`, nil, []string{"api_base"}},
		{"board at no port", `board_listen = "127.0.0.1"`, nil, []string{"board_listen", `"127.0.0.1"`, "127.0.0.1:8090"}},
		{"board at a port that is none", `board_listen = ":80000"`, nil, []string{"board_listen"}},
		{"board at a web address", `board_listen = "http://127.0.0.1:8090"`, nil, []string{"board_listen"}},
		{"health at no port", `ops_listen = "127.0.0.1"`, nil, []string{"ops_listen", `"127.0.0.1"`}},
		{"retention below nothing", "retention_days = -1", nil, []string{"retention_days is -1", "0 to keep"}},
		{"retention past all dates", "", []string{"POURWRIGHT_RETENTION_DAYS=4000000"}, []string{"retention_days", "36525"}},
		{"retention that is no number", `retention_days = "a year"`, nil, []string{"retention_days", `"a year"`, "whole number"}},
		{"posted without a key", `http_listen = ":8080"`, nil, []string{"http_listen", "public_key", "application's page"}},
		{"a key without a place", "public_key = \"" + key + "\"", nil, []string{"public_key", "http_listen"}},
		{"a certificate without a place", "http_tls_cert = \"c.pem\"\nhttp_tls_key = \"k.pem\"", nil, []string{"http_tls_cert is set", "http_tls_key is set", "http_listen"}},
		{"a key cut short", "http_listen = \":8080\"\npublic_key = \"" + key[:62] + "\"", nil, []string{"public_key", "62", "64 hexadecimal"}},
		{"a key that is none", "http_listen = \":8080\"\npublic_key = \"" + strings.Repeat("z", 64) + "\"", nil, []string{"public_key", "64 hexadecimal"}},
		{"a place that is none", "http_listen = \"8080\"\npublic_key = \"" + key + "\"", nil, []string{"http_listen", `"8080"`, "127.0.0.1"}},
		{"half a certificate", "http_listen = \":8080\"\npublic_key = \"" + key + "\"\nhttp_tls_cert = \"c.pem\"", nil, []string{"http_tls_cert", "http_tls_key", "both"}},
		{"posted and sharded", "http_listen = \":8080\"\npublic_key = \"" + key + "\"\nshards = 2", nil, []string{"shards", "http_listen"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			dir, _ := write(t, "pourwright.toml", test.file, 0o644)
			_, _, err := config.Load(config.Source{Dir: dir, Environ: test.env})
			if err == nil {
				t.Fatalf("%q with %q was taken", test.file, test.env)
			}
			for _, part := range test.want {
				if !strings.Contains(err.Error(), part) {
					t.Errorf("%q with %q: message %q lacks %q", test.file, test.env, err, part)
				}
			}
		})
	}
}

func TestBaseOnThisMachine(t *testing.T) {
	for _, base := range []string{"http://127.0.0.1:8080/api/v10", "http://localhost:1", "http://[::1]:9/x/", config.ServiceBase, config.ServiceBase + "/"} {
		if _, _, err := config.Load(config.Source{Dir: t.TempDir(), Flags: map[string]string{"api_base": base}}); err != nil {
			t.Errorf("api_base %s: %v", base, err)
		}
	}
}

func TestUnknownVariableIsAWarning(t *testing.T) {
	_, warnings, err := config.Load(config.Source{Dir: t.TempDir(), Environ: []string{
		"POURWRIGHT_TOKE=x", "POURWRIGHT_REFERENCE=there", "POURWRIGHT_CONFIG=there", "POURWRIGHT_db=x",
	}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"environment variable POURWRIGHT_TOKE is not known; did you mean POURWRIGHT_TOKEN?",
		"environment variable POURWRIGHT_db is not known; did you mean POURWRIGHT_DB?",
	}
	if d := cmp.Diff(want, warnings); d != "" {
		t.Errorf("warnings differ (-want +got):\n%s", d)
	}
}

func TestTwoFilesAreRefused(t *testing.T) {
	dir, _ := write(t, "pourwright.toml", "", 0o644)
	if err := os.WriteFile(filepath.Join(dir, "pourwright.json"), []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, _, err := config.Load(config.Source{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), "--config") {
		t.Errorf("two settings files: error %v, want one that says what to do", err)
	}
}

func TestNamedFile(t *testing.T) {
	dir, path := write(t, "other.toml", `db = "x.db"`, 0o644)
	c, _, err := config.Load(config.Source{File: path})
	if err != nil || c.DB != "x.db" {
		t.Errorf("named file: %+v, %v", c, err)
	}
	for _, wrong := range []string{filepath.Join(dir, "gone.toml"), dir} {
		if _, _, err := config.Load(config.Source{File: wrong}); err == nil {
			t.Errorf("%s was taken as a settings file", wrong)
		}
	}
	odd := filepath.Join(dir, "settings.ini")
	if err := os.WriteFile(odd, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, _, err := config.Load(config.Source{File: odd}); err == nil || !strings.Contains(err.Error(), ".toml") {
		t.Errorf("unknown format: %v", err)
	}
}

// Every key but the token can be given by flag, variable and file. The gateway
// and signed HTTP exclude each other, so each has its turn.
func TestKeysReachTheStruct(t *testing.T) {
	values := map[string]string{
		"token_file": "", "application_id": "197038439483310086", "db": "a.db", "api_base": "http://127.0.0.1:1",
		"log_level": "debug", "log_format": "json", "board_listen": "127.0.0.1:8090", "ops_listen": "127.0.0.1:9090",
		"retention_days": "365",
	}
	_, values["token_file"] = write(t, "token", "sesame", 0o600)
	want := config.Config{
		Token: config.NewSecret("sesame"), TokenFile: values["token_file"], ApplicationID: "197038439483310086",
		DB: "a.db", APIBase: "http://127.0.0.1:1", LogLevel: "debug", LogFormat: "json", BoardListen: "127.0.0.1:8090", OpsListen: "127.0.0.1:9090",
		RetentionDays: 365,
	}
	sharded, posted := want, want
	sharded.Shards, sharded.Shard = 3, 1
	posted.Shard, posted.HTTPListen, posted.PublicKey, posted.HTTPTLSCert, posted.HTTPTLSKey = -1, "127.0.0.1:8080", key, "c.pem", "k.pem"
	ways := []struct {
		with map[string]string
		want config.Config
	}{
		{map[string]string{"shards": "3", "shard": "1"}, sharded},
		{map[string]string{"http_listen": "127.0.0.1:8080", "public_key": key, "http_tls_cert": "c.pem", "http_tls_key": "k.pem"}, posted},
	}
	covered := map[string]bool{}
	for _, way := range ways {
		flags := maps.Clone(values)
		maps.Copy(flags, way.with)
		var environ []string
		for name, v := range flags {
			covered[name] = true
			environ = append(environ, config.EnvPrefix+strings.ToUpper(name)+"="+v)
		}
		for how, src := range map[string]config.Source{"environment": {Environ: environ}, "flags": {Flags: flags}} {
			src.Dir = t.TempDir()
			got, _, err := config.Load(src)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(&way.want, got, cmp.Comparer(sameSecret)); d != "" {
				t.Errorf("by %s (-want +got):\n%s", how, d)
			}
		}
	}
	for _, k := range config.Keys() {
		if !covered[k.Name] && !k.Secret {
			t.Errorf("key %s is not covered here", k.Name)
		}
	}
}
