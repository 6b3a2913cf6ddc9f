package mesh

import (
	"strconv"

	"github.com/pourwright/pourwright/internal/fault"
)

// maxCoordinate bounds every coordinate, in file units while the unit is not
// known and in millimeters after: 10 km is no casting, and cubes of numbers up
// to it stay far from overflow.
const maxCoordinate = 1e7

// Limits bound what a stranger's file may cost.
type Limits struct {
	Bytes     int64 // of the file
	Triangles int   // placed triangles
	Placed    int   // placed meshes of a 3MF
	Depth     int   // components within components
	Entries   int   // of a zip archive
	Inflated  int64 // bytes out of a zip archive, all parts together
	Ratio     int64 // of inflated to packed bytes, past the first MiB
	XMLDepth  int   // elements within elements
	Line      int   // bytes in one line of text or one XML tag
	Workers   int   // goroutines that Read may run at a time; changes no result
}

// ChatLimits are for files that arrive from a chat service: 25 MiB.
func ChatLimits() Limits { return limits(25 << 20) }

// DeskLimits are for files a person opens on their own machine: 128 MiB.
func DeskLimits() Limits { return limits(128 << 20) }

func limits(bytes int64) Limits {
	return Limits{
		Bytes: bytes, Triangles: 2_500_000, Placed: 10_000, Depth: 32,
		Entries: 1000, Inflated: 256 << 20, Ratio: 100, XMLDepth: 64, Line: 64 << 10, Workers: 2,
	}
}

func bad(format string, args ...any) *fault.Error {
	return fault.New(fault.BadFile, format, args...).
		Hint("export the part again as binary STL or 3MF")
}

func hostile(format string, args ...any) *fault.Error {
	return fault.New(fault.HostileFile, format, args...).
		Hint("export the part again as binary STL")
}

func tooLarge(format string, args ...any) *fault.Error {
	return fault.New(fault.FileTooLarge, format, args...).
		Hint("reduce the mesh in the program that made it, then export it again")
}

func (l Limits) checkTriangles(n int) error {
	if n > l.Triangles {
		return tooLarge("the mesh has more than %s triangles", group(l.Triangles))
	}
	return nil
}

// clean makes a stranger's text fit for one of our sentences: printable ASCII
// only, at most max bytes, no marks that a transport could take for markup.
func clean(b []byte, max int) string {
	out := make([]byte, 0, min(len(b), max))
	for _, c := range b {
		if len(out) == max {
			break
		}
		switch {
		case c <= ' ' || c > '~':
			if n := len(out); n > 0 && out[n-1] != ' ' {
				out = append(out, ' ')
			}
		case c == '`' || c == '*' || c == '_' || c == '~' || c == '|' || c == '<' || c == '>' || c == '@' || c == '[' || c == ']' || c == '\\' || c == '"':
			out = append(out, '?')
		default:
			out = append(out, c)
		}
	}
	for n := len(out); n > 0 && out[n-1] == ' '; n-- {
		out = out[:n-1]
	}
	return string(out)
}

// group writes n with thin groups of three: 2,500,000.
func group(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
