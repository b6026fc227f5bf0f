package page

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
)

// Form reads the form of a POST.
func Form(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return Errorf(http.StatusRequestEntityTooLarge, "That is too much at once: %d bytes are the most.", big.Limit)
		}
		return Errorf(http.StatusBadRequest, "The form could not be read: %s", err)
	}
	return nil
}

// SeeOther sends the browser to a page after a POST.
func SeeOther(w http.ResponseWriter, r *http.Request, path string) error {
	http.Redirect(w, r, path, http.StatusSeeOther)
	return nil
}

// Back sends the browser to where it came from within the workbook, or to a page.
func Back(w http.ResponseWriter, r *http.Request, otherwise string) error {
	if to := r.PostForm.Get("back"); strings.HasPrefix(to, "/") && !strings.HasPrefix(to, "//") && !strings.Contains(to, `\`) {
		return SeeOther(w, r, to)
	}
	return SeeOther(w, r, otherwise)
}

// Attachment names a file to take away; names may hold any character, file names may not.
func Attachment(name, ext string) string {
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune(`"\/:*?<>|`, r) {
			return '_'
		}
		return r
	}, name)
	return fmt.Sprintf(`attachment; filename="%s%s"; filename*=UTF-8''%s%s`, plain, ext, url.PathEscape(name), ext)
}
