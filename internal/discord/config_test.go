package discord

import (
	"testing"
)

func TestConfig(t *testing.T) {
	cases := map[string]struct {
		cfg Config
		ok  bool
	}{
		"service":              {Config{Token: "x"}, true},
		"loopback":             {Config{Token: "x", APIBase: "http://127.0.0.1:8080/api/v10/"}, true},
		"loopback 6":           {Config{Token: "x", APIBase: "https://[::1]:8080/api/v10"}, true},
		"localhost":            {Config{Token: "x", APIBase: "http://localhost:1/api/v10"}, true},
		"no token":             {Config{}, false},
		"token with a newline": {Config{Token: "x\n"}, false},
		"stranger":             {Config{Token: "x", APIBase: "https://example.org/api/v10"}, false},
		"private":              {Config{Token: "x", APIBase: "http://192.168.1.4/api"}, false},
		"looks like loopback":  {Config{Token: "x", APIBase: "http://127.0.0.1.example.org/api"}, false},
		"user in it":           {Config{Token: "x", APIBase: "http://a:b@127.0.0.1/api"}, false},
		"file":                 {Config{Token: "x", APIBase: "file:///etc"}, false},
		"plain service":        {Config{Token: "x", APIBase: "http://discord.com/api/v10"}, false},
		"app id":               {Config{Token: "x", ApplicationID: "abc"}, false},
		"shard too high":       {Config{Token: "x", Shards: 2, Shard: 2}, false},
		"all shards":           {Config{Token: "x", Shards: 2, Shard: -1}, true},
	}
	for name, c := range cases {
		if _, err := c.cfg.settle(); (err == nil) != c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
}
