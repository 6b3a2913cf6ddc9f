package bench

import (
	"bytes"
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// body is a form that was sent in.
type body struct {
	fields map[string]string
	files  map[string]chat.File
	// tooLarge names the field whose file was past the limit, "" if none was.
	tooLarge string
}

// Refusals that are about the request and not about what a member wrote.
var (
	errToken = errors.New("the form is not one of this run of the program")
	errLarge = errors.New("more was sent than is read")
	errForm  = errors.New("the form can't be read")
)

// tokenField leads every form, so that nothing of a stranger's is read.
const tokenField = "token"

const (
	// partsMost bounds the fields of a form: 25 options and a few of our own.
	partsMost = 64
	// drainMost is how much past the limit is read and thrown away. A browser
	// that is cut off while it sends shows its own error page in place of ours.
	drainMost = 1 << 30
)

// readBody reads a form and wants its token. Files are held in memory, which
// the seats in b.loads bound; release frees the seat and must be called when
// the files are done with.
func (b *Bench) readBody(w http.ResponseWriter, r *http.Request) (got body, release func(), err error) {
	release = func() {}
	kind, param, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return body{}, release, errForm
	}
	switch kind {
	case "application/x-www-form-urlencoded":
		got, err = b.readFields(w, r)
		return got, release, err
	case "multipart/form-data":
	default:
		return body{}, release, errForm
	}
	if err := b.sit(r.Context()); err != nil {
		return body{}, release, err
	}
	got, err = b.readParts(r.Body, param["boundary"], r.ContentLength)
	return got, func() { <-b.loads }, err
}

// sit takes a seat for an upload, waiting for one.
func (b *Bench) sit(ctx context.Context) error {
	select {
	case b.loads <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (b *Bench) readFields(w http.ResponseWriter, r *http.Request) (body, error) {
	r.Body = http.MaxBytesReader(w, r.Body, fieldsMost)
	if err := r.ParseForm(); err != nil {
		if tooMuch := (*http.MaxBytesError)(nil); errors.As(err, &tooMuch) {
			return body{}, errLarge
		}
		return body{}, fmt.Errorf("%w: %w", errForm, err)
	}
	if !b.holds(r.PostForm.Get(tokenField)) {
		return body{}, errToken
	}
	if len(r.PostForm) > partsMost {
		return body{}, errForm
	}
	got := body{fields: make(map[string]string, len(r.PostForm))}
	for name := range r.PostForm {
		got.fields[name] = r.PostForm.Get(name)
	}
	return got, nil
}

func (b *Bench) holds(token string) bool {
	return subtle.ConstantTimeCompare([]byte(token), []byte(b.token)) == 1
}

// readParts reads the parts as they come: the token is checked before the
// rest, and of a file past the limit only the limit is kept in memory.
func (b *Bench) readParts(r io.Reader, boundary string, length int64) (body, error) {
	limited := &io.LimitedReader{R: r, N: b.cfg.FileMost + fieldsMost}
	parts := multipart.NewReader(limited, boundary)
	got := body{fields: map[string]string{}, files: map[string]chat.File{}}
	fields := int64(fieldsMost)
	for n := 0; ; n++ {
		part, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF) && n > 0:
			return got, nil
		case err != nil && limited.N <= 0:
			return body{}, errLarge
		case err != nil:
			return body{}, fmt.Errorf("%w: %w", errForm, err)
		case n >= partsMost:
			return body{}, errForm
		case n == 0 && (part.FormName() != tokenField || part.FileName() != ""):
			return body{}, errToken
		case part.FileName() != "":
			ok, err := b.readFile(&got, part, length)
			if err != nil && limited.N > 0 {
				return body{}, fmt.Errorf("%w: %w", errForm, err)
			}
			if !ok || err != nil {
				got.tooLarge = part.FormName()
				_, err := io.Copy(io.Discard, io.LimitReader(r, drainMost))
				return got, err
			}
			continue
		}
		text, err := io.ReadAll(io.LimitReader(part, fields+1))
		if err != nil {
			return body{}, fmt.Errorf("%w: %w", errForm, err)
		}
		if fields -= int64(len(text)); fields < 0 {
			return body{}, errLarge
		}
		if n == 0 && !b.holds(string(text)) {
			return body{}, errToken
		}
		got.fields[part.FormName()] = string(text)
	}
}

// readFile reads one file and reports whether it was within the limit. An
// input left empty sends a part without a file name, which never comes here.
func (b *Bench) readFile(got *body, part *multipart.Part, length int64) (ok bool, err error) {
	var data bytes.Buffer
	if length > 0 {
		// Room for all at once: a buffer that doubles would hold a large
		// mesh three times over while it grows.
		data.Grow(int(min(length, b.cfg.FileMost+1)) + bytes.MinRead)
	}
	n, err := io.Copy(&data, io.LimitReader(part, b.cfg.FileMost+1))
	if n > b.cfg.FileMost || err != nil {
		return false, err
	}
	got.files[part.FormName()] = chat.File{Name: part.FileName(), Data: data.Bytes()}
	return true, nil
}

// faultTooLarge is the answer to a file past the limit.
func (b *Bench) faultTooLarge(option string) *fault.Error {
	return fault.New(fault.FileTooLarge, "the file is larger than the %d MiB that are read", b.cfg.FileMost>>20).
		In(option).Hint("send it in the binary form of its format, or with fewer triangles")
}
