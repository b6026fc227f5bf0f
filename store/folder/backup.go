package folder

import (
	"archive/zip"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// Backup puts everything of a data folder into one file, a ZIP archive, as it is at one moment; programs may go on using
// the folder meanwhile. Snapshots in it are left out. A file that is there stays as it is until the new one is whole.
func Backup(dir, to string) error {
	err := os.MkdirAll(filepath.Dir(to), 0o700)
	if err == nil {
		err = files.WriteWith(to, func(w io.Writer) error { return write(dir, w, filepath.Dir(to)) })
	}
	if err != nil {
		return fmt.Errorf("the backup cannot be written: %w", store.OfDisk(err))
	}
	return nil
}

// WriteBackup is Backup to a writer. Nothing is written where it fails before all of the database is copied.
func WriteBackup(dir string, w io.Writer) error {
	if err := write(dir, w, dir, os.TempDir()); err != nil {
		return fmt.Errorf("the backup cannot be made: %w", store.OfDisk(err))
	}
	return nil
}

// write writes a backup. The database is copied first, into the first of the folders that has room for that.
func write(dir string, w io.Writer, rooms ...string) (err error) {
	s, err := sql.Open(dir)
	if err != nil {
		return err
	}
	defer s.Close()
	var work string
	for _, room := range rooms {
		if work, err = os.MkdirTemp(room, files.Saving+"*"); err != nil {
			continue
		}
		defer os.RemoveAll(work)
		if err = s.CopyTo(filepath.Join(work, sql.FileName)); err == nil {
			break
		}
	}
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	if err := pack(z, sql.FileName, filepath.Join(work, sql.FileName)); err != nil {
		return err
	}
	for _, sub := range files.Folders {
		if err := packFolder(z, dir, sub); err != nil {
			return err
		}
	}
	return z.Close()
}

func packFolder(z *zip.Writer, dir, sub string) error {
	return filepath.WalkDir(filepath.Join(dir, sub), func(path string, d fs.DirEntry, err error) error {
		if os.IsNotExist(err) || err == nil && (!d.Type().IsRegular() || strings.HasPrefix(d.Name(), files.Saving)) {
			return nil // what is gone meanwhile, or not whole yet
		}
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err == nil {
			err = pack(z, filepath.ToSlash(name), path)
		}
		if os.IsNotExist(err) {
			return nil
		}
		return err
	})
}

func pack(z *zip.Writer, name, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: info.ModTime()}
	w, err := z.CreateHeader(h)
	if err == nil {
		_, err = io.Copy(w, f)
	}
	return err
}

// mostOfOne and mostOfAll bound what a backup may unfold to, in bytes.
const (
	mostOfOne = 4 << 30
	mostOfAll = 16 << 30
)

// unpack puts the files of a backup into a folder.
func unpack(from, dir string) error {
	z, err := zip.OpenReader(from)
	if err != nil {
		return fmt.Errorf("%s is no backup of secondpass: %w", from, err)
	}
	defer z.Close()
	found, all := false, uint64(0)
	for _, f := range z.File {
		top, _, _ := strings.Cut(f.Name, "/")
		found = found || f.Name == sql.FileName
		if !filepath.IsLocal(f.Name) || f.Name != sql.FileName && !known(top) {
			return fmt.Errorf("%s is no backup of secondpass: it holds %q", from, f.Name)
		}
		if all += f.UncompressedSize64; f.UncompressedSize64 > mostOfOne || all > mostOfAll {
			return fmt.Errorf("%s is no backup of secondpass: it unfolds to more than %d GB", from, mostOfAll>>30)
		}
		if err := unpackOne(f, filepath.Join(dir, filepath.FromSlash(f.Name))); err != nil {
			return fmt.Errorf("%s: %s: %w", from, f.Name, err)
		}
	}
	if !found {
		return fmt.Errorf("%s is no backup of secondpass: it holds no %s", from, sql.FileName)
	}
	return nil
}

func known(folder string) bool {
	for _, sub := range files.Folders {
		if sub == folder {
			return true
		}
	}
	return false
}

func unpackOne(f *zip.File, path string) error {
	r, err := f.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	err = files.WriteWith(path, func(w io.Writer) error {
		_, err := io.Copy(w, io.LimitReader(r, int64(f.UncompressedSize64)+1)) // its checksum is checked at the end
		return err
	})
	if err == nil {
		err = os.Chtimes(path, f.Modified, f.Modified)
	}
	return err
}
