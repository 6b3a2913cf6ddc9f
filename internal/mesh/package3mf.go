package mesh

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"path"
	"strings"
)

// package3mf is the zip archive around a 3MF model (Open Packaging Conventions).
// Nothing is ever written to disk and every inflated byte is counted.
type package3mf struct {
	files    map[string]*zip.File // by lower-case name without the leading slash
	lim      Limits
	inflated int64
}

func openPackage(data []byte, lim Limits) (*package3mf, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, bad("the 3MF archive is cut off or damaged").Because(err)
	}
	if len(z.File) > lim.Entries {
		return nil, hostile("the archive has %s entries, more than %s", group(len(z.File)), group(lim.Entries))
	}
	p := &package3mf{files: make(map[string]*zip.File, len(z.File)), lim: lim}
	for _, f := range z.File {
		name := f.Name
		if strings.HasPrefix(name, "/") || strings.ContainsAny(name, "\\\x00") || strings.Contains("/"+name+"/", "/../") {
			return nil, hostile("the archive has a part with a path that leads outside: '%s'", clean([]byte(name), 48))
		}
		if strings.HasSuffix(name, "/") {
			continue
		}
		key := strings.ToLower(name)
		if p.files[key] != nil {
			return nil, bad("the archive holds the part '%s' twice", clean([]byte(name), 48))
		}
		p.files[key] = f
	}
	return p, nil
}

// partKey turns the address of a part into the key of files: absolute or
// relative to the root, without steps upward.
func partKey(name string) (string, error) {
	clean3mf := strings.TrimPrefix(path.Clean("/"+strings.TrimPrefix(name, "/")), "/")
	if strings.Contains("/"+name+"/", "/../") || strings.ContainsAny(name, "\\\x00") {
		return "", hostile("a part has a path that leads outside: '%s'", clean([]byte(name), 48))
	}
	return strings.ToLower(clean3mf), nil
}

// open gives a part as a stream whose bytes are counted. A part of nobody gives
// a bad_file.
func (p *package3mf) open(name string) (io.ReadCloser, string, error) {
	key, err := partKey(name)
	if err != nil {
		return nil, "", err
	}
	shown := "'" + clean([]byte(name), 48) + "'"
	f := p.files[key]
	if f != nil {
		shown = "'" + clean([]byte(f.Name), 48) + "'"
	}
	if f == nil {
		return nil, shown, bad("the archive has no part %s", shown)
	}
	if f.Flags&1 != 0 {
		return nil, shown, bad("part %s is encrypted", shown)
	}
	r, err := f.Open()
	if err != nil {
		return nil, shown, bad("part %s is damaged inside the archive", shown).Because(err)
	}
	return &countedPart{ReadCloser: r, pack: p, file: f, shown: shown}, shown, nil
}

// countedPart stops a part that inflates past what it says or what is allowed.
type countedPart struct {
	io.ReadCloser
	pack  *package3mf
	file  *zip.File
	shown string
	n     int64
}

// Up to this size a part may be packed as tightly as it likes.
const ratioFrom = 1 << 20

func (c *countedPart) Read(b []byte) (int, error) {
	n, err := c.ReadCloser.Read(b)
	c.n += int64(n)
	c.pack.inflated += int64(n)
	lim := &c.pack.lim
	switch {
	case uint64(c.n) > c.file.UncompressedSize64, errors.Is(err, zip.ErrFormat):
		return 0, hostile("part %s inflates to more than the archive says", c.shown)
	case c.pack.inflated > lim.Inflated:
		return 0, hostile("the archive inflates to more than %d MiB", lim.Inflated>>20)
	case c.n > ratioFrom && uint64(c.n)/uint64(lim.Ratio) > c.file.CompressedSize64:
		return 0, hostile("part %s is packed more than %d times, as no mesh is", c.shown, lim.Ratio)
	}
	if err != nil && !errors.Is(err, io.EOF) {
		err = bad("part %s is damaged inside the archive", c.shown).Because(err)
	}
	return n, err
}

// The relationship that leads from the package to its model: 3MF core
// specification, appendix C.
const relModel = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"

// rootPart finds the model in the relationships of the package.
func (p *package3mf) rootPart(done <-chan struct{}) (string, error) {
	r, shown, err := p.open("_rels/.rels")
	if err != nil {
		return "", bad("the archive is no 3MF: it has no relationships part")
	}
	defer r.Close()
	s := newXMLScan(r, shown, p.lim, done)
	root := ""
	for {
		t, err := s.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return "", err
		}
		if t.start && string(t.name) == "Relationship" && string(t.attr("Type")) == relModel && root == "" {
			root = string(t.attr("Target"))
		}
	}
	if root == "" {
		return "", bad("the archive is no 3MF: it names no model")
	}
	return root, nil
}
