package config_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/config"
)

const sesame = "sesame-4711-not-a-real-token"

func TestTokenSources(t *testing.T) {
	_, file := write(t, "token", "  "+sesame+"\n", 0o400)
	tests := []struct {
		name, env, file, want string
	}{
		{"none", "", "", ""},
		{"environment", sesame, "", sesame},
		{"file", "", file, sesame},
		{"environment wins", "other", file, "other"},
		{"prefix of the header is cut", "Bot " + sesame, "", sesame},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c, _, err := config.Load(config.Source{
				Dir: t.TempDir(), Environ: []string{"POURWRIGHT_TOKEN=" + test.env}, Flags: map[string]string{"token_file": test.file},
			})
			if err != nil {
				t.Fatal(err)
			}
			if got := c.Token.Reveal(); got != test.want || c.Token.Set() != (test.want != "") {
				t.Errorf("token %q, want %q", got, test.want)
			}
		})
	}
}

func TestTokenFileRefused(t *testing.T) {
	tests := []struct {
		name, text string
		mode       os.FileMode
		want       string
	}{
		{"group may read", sesame, 0o640, "chmod 600"},
		{"all may read", sesame, 0o604, "chmod 600"},
		{"all may write", sesame, 0o602, "chmod 600"},
		{"empty", " \n", 0o600, "holds no token"},
		{"two words", sesame + " and more", 0o600, "more than a token"},
		{"not text", sesame + "\x00", 0o600, "more than a token"},
		{"long", strings.Repeat(sesame, 1000), 0o600, "too long"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			dir, file := write(t, "token", test.text, test.mode)
			_, _, err := config.Load(config.Source{Dir: dir, Flags: map[string]string{"token_file": file}})
			if err == nil || !strings.Contains(err.Error(), test.want) || !strings.Contains(err.Error(), file) {
				t.Fatalf("error %v, want the file's name and %q", err, test.want)
			}
			if strings.Contains(err.Error(), "sesame") {
				t.Errorf("the error shows the token: %v", err)
			}
		})
	}
	t.Run("missing", func(t *testing.T) {
		_, _, err := config.Load(config.Source{Dir: t.TempDir(), Flags: map[string]string{"token_file": filepath.Join(t.TempDir(), "gone")}})
		if err == nil {
			t.Error("a missing token file was taken")
		}
	})
	t.Run("folder", func(t *testing.T) {
		dir := t.TempDir()
		if _, _, err := config.Load(config.Source{Dir: dir, Flags: map[string]string{"token_file": dir}}); err == nil {
			t.Error("a folder was taken as token file")
		}
	})
	t.Run("bad variable", func(t *testing.T) {
		_, _, err := config.Load(config.Source{Dir: t.TempDir(), Environ: []string{"POURWRIGHT_TOKEN=" + sesame + "\nx"}})
		if err == nil || strings.Contains(err.Error(), "sesame") {
			t.Errorf("error %v, want one that does not show the token", err)
		}
	})
}

// No way of printing a value that holds a token shows it, not even as a field
// that is not exported.
func TestSecretNeverPrints(t *testing.T) {
	type wrapper struct {
		Open   config.Secret
		closed config.Secret
	}
	w := wrapper{config.NewSecret(sesame), config.NewSecret(sesame)}
	var out bytes.Buffer
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%d", "%x"} {
		fmt.Fprintf(&out, verb+"\n", w)
		fmt.Fprintf(&out, verb+"\n", &w)
		fmt.Fprintf(&out, verb+"\n", w.closed)
		fmt.Fprintf(&out, verb+"\n", []any{w.Open, map[string]config.Secret{"k": w.Open}})
	}
	for _, h := range []slog.Handler{slog.NewTextHandler(&out, nil), slog.NewJSONHandler(&out, nil)} {
		slog.New(h).Info("start", "secret", w.Open, "wrapped", w, "pointer", &w, slog.Group("g", "in", w.Open))
	}
	if err := json.NewEncoder(&out).Encode(w); err != nil {
		t.Fatal(err)
	}
	if s := out.String(); strings.Contains(s, "sesame") || strings.Contains(s, fmt.Sprintf("%x", sesame)) {
		t.Errorf("the token is shown:\n%s", s)
	}
	if w.Open.Reveal() != sesame {
		t.Errorf("Reveal gives %q", w.Open.Reveal())
	}
}
