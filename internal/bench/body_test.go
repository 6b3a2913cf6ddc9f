package bench

import (
	"bytes"
	"io"
	"mime/multipart"
	"strings"
	"testing"
)

// FuzzReadParts: whatever is sent, nothing of it is taken without the token
// in front, and nothing past the limits.
func FuzzReadParts(f *testing.F) {
	const token = "k"
	part := func(head, body string) string {
		return "--b\r\nContent-Disposition: form-data; " + head + "\r\n\r\n" + body + "\r\n"
	}
	good := part(`name="token"`, token)
	for _, seed := range []string{
		"", "--b--\r\n", good, good + "--b--\r\n",
		good + part(`name="line"`, "/help") + "--b--\r\n",
		good + part(`name="file"; filename="part.stl"`, strings.Repeat("x", 100)) + "--b--\r\n",
		good + part(`name="file"; filename="part.stl"`, strings.Repeat("x", 2000)) + "--b--\r\n",
		part(`name="line"`, "/help") + good + "--b--\r\n",
		part(`name="token"; filename="t"`, token) + "--b--\r\n",
		good + strings.Repeat(part(`name="o.x"`, "1"), 70) + "--b--\r\n",
	} {
		f.Add([]byte(seed))
	}
	b := &Bench{token: token, cfg: Config{FileMost: 1000}}
	f.Fuzz(func(t *testing.T, sent []byte) {
		got, err := b.readParts(bytes.NewReader(sent), "b", int64(len(sent)))
		if err != nil {
			if len(got.fields) > 0 && got.tooLarge == "" {
				t.Errorf("fields %q of a form that is refused: %v", got.fields, err)
			}
			return
		}
		if !leads(sent, token) {
			t.Errorf("taken without a token in front: %q, %d files", got.fields, len(got.files))
		}
		if len(got.fields)+len(got.files) > partsMost {
			t.Errorf("%d fields and %d files", len(got.fields), len(got.files))
		}
		for name, file := range got.files {
			if len(file.Data) > 1000 {
				t.Errorf("file %q of %d bytes is past the limit", name, len(file.Data))
			}
		}
	})
}

// leads reports whether the first part is the token and no file.
func leads(sent []byte, token string) bool {
	first, err := multipart.NewReader(bytes.NewReader(sent), "b").NextPart()
	if err != nil {
		return false
	}
	text, err := io.ReadAll(first)
	return err == nil && first.FormName() == tokenField && first.FileName() == "" && string(text) == token
}
