package workers

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"github.com/klauspost/compress/zstd"
)

// part is a stretch of the pieces of a run, as the queue has it: those from number First on, up to that before Beyond.
type part struct {
	Run    string `json:"run"`
	First  int    `json:"first"`
	Beyond int    `json:"beyond"`
}

// Kind is what the queue calls it.
func (part) Kind() string { return "part" }

// pack is the results of the pieces of a part as the table has them.
func pack(results []json.RawMessage) ([]byte, error) {
	data, err := json.Marshal(results)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w, err := zstd.NewWriter(&b, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1))
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err = w.Close()
	return b.Bytes(), err
}

// unpack reads them back: one for each piece of the part.
func (p part) unpack(data []byte) (results []json.RawMessage, err error) {
	r, err := zstd.NewReader(bytes.NewReader(data), zstd.WithDecoderConcurrency(1))
	if err != nil {
		return nil, err
	}
	defer r.Close()
	text, err := io.ReadAll(r)
	if err == nil {
		err = json.Unmarshal(text, &results)
	}
	if err == nil && len(results) != p.Beyond-p.First {
		err = fmt.Errorf("%d results of %d pieces", len(results), p.Beyond-p.First)
	}
	return results, err
}
