package store

import (
	"encoding/json"
	"io"

	"secondpass/teach/drill"
)

// StudentData is everything that is kept of a student.
type StudentData struct {
	Format      string                 `json:"format"`
	Version     int                    `json:"version"`
	Student     drill.Student          `json:"student"`
	Tries       []drill.Try            `json:"tries"`
	Charlestons []drill.Charleston     `json:"charlestons"`
	Memories    map[int64]drill.Memory `json:"memories"`
}

// Write writes it as a JSON file.
func (d *StudentData) Write(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(d)
}
