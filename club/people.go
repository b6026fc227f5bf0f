package club

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"
)

// Person is one who signs in.
type Person struct {
	ID   int64
	Role Role
	Name string
	// Workbook is the number of the teacher in whose workbook the person works: of an owner and a teacher their own.
	Workbook int64
	Joined   time.Time
}

// Passkey lets a person in from a device.
type Passkey struct {
	// ID is how the browser calls it.
	ID         string
	Person     int64
	Name       string
	Credential []byte // for the face
	Made, Used time.Time
}

// Invitation lets one person in, once.
type Invitation struct {
	ID   int64
	Role Role
	Name string // of who is meant
	// Workbook is that in which an assistant is to work, 0 otherwise.
	Workbook int64
	// Person is whom it lets in again, 0 for somebody new.
	Person  int64
	By      int64 // 0 for the command line
	Made    time.Time
	Expires time.Time
}

// Session is one browser in which somebody is signed in.
type Session struct {
	// Hash is what its token is kept as.
	Hash   string
	Person int64
	Data   []byte // for the face
	Began  time.Time
	// Expires is when it ends by itself.
	Expires time.Time
}

// Entry is a line of the list of what was done.
type Entry struct {
	At    time.Time
	By    string // the name of who did it, "" for the command line
	Deed  string // as in "invited"
	About string // the name of whom it was done to, "" for nobody else
}

// Errors that callers tell apart.
var (
	// ErrNobody: there is no such person any more.
	ErrNobody = errors.New("there is no such person in the club")
	// ErrNoInvitation: nobody has made it, or it was withdrawn.
	ErrNoInvitation = errors.New("there is no such invitation; ask who sent it for another")
	// ErrUsed: it has let somebody in.
	ErrUsed = errors.New("this invitation was used already; ask who sent it for another")
	// ErrExpired: it is older than InvitationLasts.
	ErrExpired = errors.New("this invitation has expired after seven days; ask who sent it for another")
	// ErrCode: no recovery code that was not used is so.
	ErrCode = errors.New("no recovery code is so, or it was used already")
	// ErrNoPasskey: nobody signs in with it.
	ErrNoPasskey = errors.New("this passkey does not belong to anybody in the club")
	// ErrLastPasskey: it cannot be removed.
	ErrLastPasskey = errors.New("the last passkey cannot be removed; make another one first")
	// ErrMayNot: the role does not allow it.
	ErrMayNot = errors.New("your role in the club does not allow that")
	// ErrGone: what signing in was about has taken too long, or was done already.
	ErrGone = errors.New("this took too long, or was done already; begin again")
)

const (
	// InvitationLasts is how long an invitation lets in.
	InvitationLasts = 7 * 24 * time.Hour
	// CodesEach is how many recovery codes a person has.
	CodesEach = 8
	// maxName is the most characters of a name.
	maxName = 60
	// codeLength is the characters of a recovery code, of 32 kinds each: 80 bits.
	codeLength, codeGroup = 16, 4
)

// Hash is what a secret of at least 80 random bits is kept as: nobody can try out so many, so that a plain hash is enough.
func Hash(secret string) string {
	h := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(h[:])
}

// newCode is a recovery code as it is written down.
func newCode() string {
	text := rand.Text()[:codeLength]
	var groups []string
	for ; text != ""; text = text[codeGroup:] {
		groups = append(groups, text[:codeGroup])
	}
	return strings.Join(groups, "-")
}

// codeHash is what a recovery code is kept as, however it is typed; it has no 0 and no 1.
func codeHash(typed string) string {
	return Hash(strings.Map(func(r rune) rune {
		switch r {
		case '0':
			return 'O'
		case '1':
			return 'I'
		}
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, typed))
}

// CheckName says why a name cannot be a person's, or is nil.
func CheckName(name string) error {
	switch {
	case name == "" || strings.TrimSpace(name) != name:
		return fmt.Errorf("the name %q: one without blanks at its ends is right", name)
	case len([]rune(name)) > maxName:
		return fmt.Errorf("a name of %d characters is too long; %d are the most", len([]rune(name)), maxName)
	case strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return fmt.Errorf("the name %q has a character that cannot be printed", name)
	}
	return nil
}
