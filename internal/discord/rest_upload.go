package discord

import (
	"bytes"
	"fmt"
	"mime"
	"mime/multipart"
	"net/textproto"
	"path"
	"strconv"
	"strings"
)

const (
	// maxUpload is the size of one file unless the interaction says otherwise,
	// and maxRequest that of all in one request (Reference, "Uploading Files").
	maxUpload  = 10 << 20
	maxRequest = 25 << 20
)

// upload is one file sent with a message.
type upload struct {
	name string
	data []byte
}

// encodeUpload is a form with the JSON first and the files after it, numbered
// as the attachments of the message are.
func encodeUpload(payload []byte, files []upload) ([]byte, string, error) {
	total := len(payload)
	for _, f := range files {
		total += len(f.data)
	}
	if total > maxRequest {
		return nil, "", fmt.Errorf("files of %d bytes are more than one request may carry (%d)", total, maxRequest)
	}
	var body bytes.Buffer
	body.Grow(total + 512*(len(files)+1))
	form := multipart.NewWriter(&body)
	if err := addPart(form, "payload_json", "", "application/json", payload); err != nil {
		return nil, "", err
	}
	for i, f := range files {
		if err := addPart(form, "files["+strconv.Itoa(i)+"]", f.name, mediaType(f.name), f.data); err != nil {
			return nil, "", err
		}
	}
	if err := form.Close(); err != nil {
		return nil, "", fmt.Errorf("close form: %w", err)
	}
	return body.Bytes(), form.FormDataContentType(), nil
}

func addPart(form *multipart.Writer, field, file, kind string, data []byte) error {
	params := map[string]string{"name": field}
	if file != "" {
		params["filename"] = file
	}
	header := make(textproto.MIMEHeader)
	header.Set("Content-Disposition", mime.FormatMediaType("form-data", params))
	header.Set("Content-Type", kind)
	part, err := form.CreatePart(header)
	if err == nil {
		_, err = part.Write(data)
	}
	if err != nil {
		return fmt.Errorf("add %s to form: %w", field, err)
	}
	return nil
}

// mediaType goes by a short list of our own: the machine's table differs from
// place to place.
func mediaType(name string) string {
	switch path.Ext(name) {
	case ".png":
		return "image/png"
	case ".svg":
		return "image/svg+xml"
	case ".json":
		return "application/json"
	case ".csv":
		return "text/csv; charset=utf-8"
	case ".txt":
		return "text/plain; charset=utf-8"
	case ".ics":
		return "text/calendar; charset=utf-8"
	}
	return "application/octet-stream"
}

// safeName keeps letters, digits, dot, dash and underscore of a file's base
// name, as attachment:// addresses need it, and never gives an empty or hidden
// name.
func safeName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '-', r == '_':
			return r
		}
		return '_'
	}, name)
	name = strings.TrimLeft(name, ".")
	if ext := path.Ext(name); len(name) > 80 {
		name = name[:80-min(len(ext), 10)] + ext[:min(len(ext), 10)]
	}
	if name == "" {
		return "file"
	}
	return name
}
