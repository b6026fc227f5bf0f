package club

import (
	"errors"
	"time"
)

// Shared is a copy of something that a workbook has given to all others, or to one. It is a copy: what is changed in the workbook later
// changes nothing of it.
type Shared struct {
	ID int64
	// Sort and Name are of what it is a copy of, as in "exercise" and "Odds"; Remark is the giver's.
	Sort, Name, Remark string
	// From is the workbook that has given it, For the one to which it was given, 0 for all.
	From, For int64
	By        string // the name of who gave it
	At        time.Time
	File      []byte // as that of Sort; nil in lists
}

const (
	// sharedMost is how many copies of one workbook stand on the shelf at once, sharedBytes the most bytes of one.
	sharedMost  = 200
	sharedBytes = 8 << 20
	maxRemark   = 200
)

// Errors of sharing.
var (
	ErrNotShared = errors.New("there is no such copy on the shelf any more")
	ErrShelfFull = errors.New("200 copies of a workbook are the most on the shelf; take one back first")
	ErrTooLarge  = errors.New("it is too large to be shared; 8 MB are the most")
)

// Share puts a copy on the shelf.
func (c *Club) Share(by *Person, s Shared) error {
	if !May(by.Role, Change, true) {
		return ErrMayNot
	}
	if len(s.File) > sharedBytes {
		return ErrTooLarge
	}
	if len([]rune(s.Remark)) > maxRemark {
		s.Remark = string([]rune(s.Remark)[:maxRemark])
	}
	if s.For != 0 {
		if _, err := c.teacherOf(s.For); err != nil {
			return err
		}
	}
	s.From, s.By, s.At = by.Workbook, by.Name, c.Now()
	return c.AddShared(&s, sharedMost, c.entry(by, "gave a copy of the "+s.Sort, s.Name))
}

// teacherOf is whose workbook one is.
func (c *Club) teacherOf(workbook int64) (Person, error) {
	all, err := c.People()
	if err != nil {
		return Person{}, err
	}
	for _, p := range all {
		if p.Workbook == workbook && p.Role != Assistant {
			return p, nil
		}
	}
	return Person{}, ErrNobody
}

// sees says whether a copy was given to somebody: to all, to their workbook, or by it.
func sees(p *Person, s *Shared) bool {
	return May(p.Role, Look, s.For == 0 || s.For == p.Workbook || s.From == p.Workbook)
}

// MayTakeBack says whether somebody may take a copy from the shelf: who gave it, and the owner of the club.
func MayTakeBack(p *Person, s *Shared) bool {
	return May(p.Role, Change, s.From == p.Workbook) || May(p.Role, Govern, false)
}

// Shelf is what was given to somebody, without the files, the newest first.
func (c *Club) Shelf(p *Person) (all []Shared, err error) {
	list, err := c.AllShared()
	for _, s := range list {
		if sees(p, &s) || MayTakeBack(p, &s) {
			all = append(all, s)
		}
	}
	return all, err
}

// TakeShared is a copy that was given to somebody; ErrNotShared where it was not.
func (c *Club) TakeShared(p *Person, id int64) (Shared, error) {
	s, err := c.Shared(id)
	if err == nil && !sees(p, &s) {
		err = ErrNotShared
	}
	if err != nil {
		return Shared{}, err
	}
	return s, nil
}

// TakeBack takes a copy from the shelf; those that others have made of it stay theirs.
func (c *Club) TakeBack(p *Person, id int64) error {
	s, err := c.Shared(id)
	if err != nil {
		return err
	}
	if !MayTakeBack(p, &s) {
		if !sees(p, &s) {
			return ErrNotShared
		}
		return ErrMayNot
	}
	return c.RemoveShared(id, c.entry(p, "took back a copy of the "+s.Sort, s.Name))
}
