package mesh

import (
	"bytes"
	"encoding/binary"

	"github.com/pourwright/pourwright/internal/fault"
)

// Read reads a mesh of any known format, told apart by its content. It keeps no
// reference to data. Errors: bad_file for what cannot be read or holds no
// triangles, file_too_large and hostile_file past lim, ErrStopped when done
// closes. Every refusal is one sentence that names the line, triangle or part.
func Read(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	if int64(len(data)) > lim.Bytes {
		return nil, tooLarge("the file has more than %d MiB", lim.Bytes>>20)
	}
	m, err := read(data, lim, done)
	if err != nil {
		return nil, err
	}
	if len(m.tris) == 0 {
		return nil, bad("the file holds no triangles")
	}
	return m, nil
}

func read(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	switch {
	case len(data) == 0:
		return nil, bad("the file is empty")
	case bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06")):
		return read3MF(data, lim, done)
	case isPLY(data):
		return readPLY(data, lim, done)
	}
	if name := otherKind(data); name != "" {
		return nil, bad("the file is %s, not a mesh", name).
			Hint("send the part as STL, OBJ, PLY or 3MF")
	}
	isText := looksLikeText(data)
	if len(data) >= stlHeader {
		n := binary.LittleEndian.Uint32(data[stlHeader-4:])
		want := int64(stlHeader) + stlRecord*int64(n)
		have := int64(len(data))
		if have == want || have > want && !isText && !hasFacetWord(data) {
			return readSTLBinary(data, lim, done)
		}
		if have < want && !isText {
			return nil, bad("the file was cut off: its header says %s triangles and it has bytes for %s",
				group(int(n)), group(int((have-stlHeader)/stlRecord)))
		}
	}
	switch {
	case !isText:
		return nil, unknownFile()
	case isSTLText(data):
		return readSTLText(data, lim, done)
	case isOBJ(data):
		return readOBJ(data, lim, done)
	}
	return nil, unknownFile()
}

func unknownFile() *fault.Error {
	return fault.New(fault.BadFile, "the file is not a mesh that can be read here").
		Hint("send the part as STL, OBJ, PLY or 3MF")
}

// otherKind names a few files that are sent by mistake.
func otherKind(data []byte) string {
	for _, k := range []struct{ magic, name string }{
		{"\x89PNG\r\n\x1a\n", "a PNG picture"}, {"\xff\xd8\xff", "a JPEG picture"}, {"GIF8", "a GIF picture"},
		{"RIFF", "a picture or sound"}, {"%PDF-", "a PDF document"}, {"\x1f\x8b", "a gzip archive"},
		{"7z\xbc\xaf", "a 7z archive"}, {"Rar!", "a RAR archive"}, {"glTF", "a glTF scene"},
		{"Kaydara FBX", "an FBX scene"}, {"ISO-10303-21", "a STEP drawing"}, {"BLENDER", "a modeler's own file"},
	} {
		if bytes.HasPrefix(data, []byte(k.magic)) {
			return k.name
		}
	}
	return ""
}

// looksLikeText looks at the first 4 kB: text has no control bytes but white
// space. Bytes past 127 are allowed: names may be in any script.
func looksLikeText(data []byte) bool {
	for _, c := range data[:min(len(data), 4096)] {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' && c != '\f' && c != '\v' {
			return false
		}
	}
	return true
}

func hasFacetWord(data []byte) bool {
	head := bytes.ToLower(data[:min(len(data), 2048)])
	return bytes.Contains(head, []byte("facet")) || bytes.Contains(head, []byte("endsolid"))
}
