package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"strings"

	"github.com/goreleaser/nfpm/v2"
	_ "github.com/goreleaser/nfpm/v2/deb"
	"github.com/goreleaser/nfpm/v2/files"
)

// manual is the place of the page for man in an archive.
const manual = "secondpass.1"

// entry is a file of an archive.
type entry struct {
	name string
	data []byte
	run  bool // it is a program
}

// pack writes the archive of a system, and for Linux the Debian package.
func (r *release) pack(target string, common []entry) error {
	file, err := r.build(target)
	if err != nil {
		return err
	}
	program, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	system, processor, _ := strings.Cut(target, "/")
	folder := "secondpass-" + r.version + "-" + strings.Replace(system, "darwin", "macos", 1) + "-" + processor
	name := "secondpass"
	if system == "windows" {
		name += ".exe"
	}
	entries := append([]entry{{name: name, data: program, run: true}}, common...)
	var packed []byte
	ending := ".tar.gz"
	if system == "windows" {
		ending = ".zip"
		packed, err = r.zipped(folder, entries)
	} else {
		packed, err = r.tarred(folder, entries)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(r.out, folder+ending), packed, 0o644)
	}
	if err == nil && system == "linux" {
		err = r.debian(processor, file, common)
	}
	return err
}

func (e *entry) mode() int64 {
	if e.run {
		return 0o755
	}
	return 0o644
}

func (r *release) tarred(folder string, entries []entry) ([]byte, error) {
	var out bytes.Buffer
	packed, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(packed)
	for _, e := range entries {
		if err := w.WriteHeader(&tar.Header{Name: folder + "/" + e.name, Mode: e.mode(), Size: int64(len(e.data)), ModTime: r.at, Format: tar.FormatPAX}); err != nil {
			return nil, err
		}
		if _, err := w.Write(e.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	err = packed.Close()
	return out.Bytes(), err
}

func (r *release) zipped(folder string, entries []entry) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, e := range entries {
		h := &zip.FileHeader{Name: folder + "/" + e.name, Method: zip.Deflate, Modified: r.at}
		h.SetMode(os.FileMode(e.mode()))
		f, err := w.CreateHeader(h)
		if err == nil {
			_, err = f.Write(e.data)
		}
		if err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return out.Bytes(), err
}

// debian writes a Debian package: the program, its manual and completions where Debian has them, licences among the documents.
func (r *release) debian(processor, program string, common []entry) error {
	contents := files.Contents{{Source: program, Destination: "/usr/bin/secondpass", FileInfo: &files.ContentFileInfo{Mode: 0o755, MTime: r.at}}}
	for _, e := range common {
		to := "/usr/share/doc/secondpass/" + e.name
		switch e.name {
		case manual:
			to = "/usr/share/man/man1/" + manual
		case "completions/secondpass.bash":
			to = "/usr/share/bash-completion/completions/secondpass"
		case "completions/_secondpass":
			to = "/usr/share/zsh/vendor-completions/_secondpass"
		case "completions/secondpass.fish":
			to = "/usr/share/fish/vendor_completions.d/secondpass.fish"
		case "LICENSE":
			to = "/usr/share/doc/secondpass/copyright"
		}
		from := filepath.Join(r.temp, "files", filepath.FromSlash(e.name))
		if err := os.MkdirAll(filepath.Dir(from), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(from, e.data, 0o644); err != nil {
			return err
		}
		contents = append(contents, &files.Content{Source: from, Destination: to, FileInfo: &files.ContentFileInfo{Mode: 0o644, MTime: r.at}})
	}
	info := nfpm.WithDefaults(&nfpm.Info{Name: "secondpass", Arch: processor, Platform: "linux", Version: debianVersion(r.version), Section: "games", Priority: "optional",
		Maintainer: "secondpass <secondpass@localhost>", Description: "Exercise book for American mahjong\n Deal a rack, try several routes through the passing, compare what is left.",
		MTime: r.at, Overridables: nfpm.Overridables{Contents: contents}})
	if err := nfpm.PrepareForPackager(info, "deb"); err != nil {
		return err
	}
	packager, err := nfpm.Get("deb")
	if err != nil {
		return err
	}
	out, err := os.Create(filepath.Join(r.out, packager.ConventionalFileName(info)))
	if err != nil {
		return err
	}
	if err := packager.Package(info, out); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}

// debianVersion begins with a digit, as Debian wants it; a commit without a tag before it is before the first version.
func debianVersion(version string) string {
	if !strings.Contains(version, ".") {
		return "0.0.0+" + version
	}
	return version
}
