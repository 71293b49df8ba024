package web

import (
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"path"
	"strings"

	"undercoat/finish"
)

// errForm says which field was not understood and what was expected.
func errForm(field, found, expected string) error {
	return fmt.Errorf("read form: %s: found %q, expected %s", field, found, expected)
}

// upload is a form that came with files, held in memory: no file of a request
// is ever written to the disk.
type upload struct {
	fields map[string]string
	files  []finish.NamedFile
}

// mostUploaded bounds the files of one form.
const mostUploaded = 200

// takeUpload reads a form with files, part by part.
func (s *Server) takeUpload(r *http.Request) (upload, error) {
	if !s.loads.take() {
		return upload{}, errTooOften
	}
	parts, err := r.MultipartReader()
	if err != nil {
		return upload{}, fmt.Errorf("take files: %w", err)
	}
	u := upload{fields: map[string]string{}}
	for {
		p, err := parts.NextPart()
		if err == io.EOF {
			return u, nil
		}
		if err != nil {
			return upload{}, fmt.Errorf("take files: %w", err)
		}
		if err := u.add(p); err != nil {
			return upload{}, err
		}
	}
}

func (u *upload) add(p *multipart.Part) error {
	defer p.Close()
	most := int64(mostForm)
	if p.FileName() != "" {
		most = mostUpload
	}
	data, err := io.ReadAll(io.LimitReader(p, most+1))
	switch {
	case err != nil:
		return fmt.Errorf("take files: %w", err)
	case int64(len(data)) > most, len(u.files) > mostUploaded, len(u.fields) > mostUploaded:
		return errTooLarge
	case p.FileName() == "" && p.FormName() == "":
		return nil
	case p.FileName() == "":
		u.fields[p.FormName()] = string(data)
	case len(data) > 0:
		// Only the last part of the name is kept, whichever way it slants.
		name := path.Base(strings.ReplaceAll(p.FileName(), `\`, "/"))
		u.files = append(u.files, finish.NamedFile{Name: name, Bytes: data})
	}
	return nil
}
