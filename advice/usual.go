package advice

import (
	"bytes"
	"compress/gzip"
	"embed"
	"io"
)

// usual is what games have shown of the practice card with the usual house rules and four strong players, by the names of shelf keys:
// the first judgement there need not wait for them. It is what the same games show when they are played; UPDATE_USUAL=1 go test ./advice -run
// TestUsualIsCurrent writes it anew.
//
//go:embed usual
var usual embed.FS

// usually is what stands there under a shelf key, or nil.
func usually(key string) []byte {
	packed, err := usual.ReadFile("usual/" + key + ".json.gz")
	if err != nil {
		return nil // another table
	}
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil
	}
	data, err := io.ReadAll(r)
	if err != nil {
		return nil
	}
	return data
}
