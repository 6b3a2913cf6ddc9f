package chat

import "strings"

// Attached lists the attachment options that a typed line gives, with what is
// typed there: the path of a file, where the transport can open one, or "".
// Names that a button pinned are left out, for their files are known.
func (d *Dispatcher) Attached(line string) map[string]string {
	a, err := d.aimLine(line)
	if err != nil {
		return nil
	}
	given := map[string]string{}
	for _, o := range a.sub.Options {
		raw, ok := a.raw[o.Name]
		if ok && o.Kind == Attachment && !strings.HasPrefix(raw, "#") {
			given[o.Name] = raw
		}
	}
	return given
}
