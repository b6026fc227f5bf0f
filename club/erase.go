package club

import "errors"

// ErrLastOwner: somebody must be there to run the club.
var ErrLastOwner = errors.New("the club needs an owner; invite another one first")

// Erase ends the account of a teacher and of all who assist, and deletes the whole workbook, for good. Teachers do so with their own, the
// owner of the club with any, also with one whose teacher has left.
func (c *Club) Erase(by *Person, workbook int64) error {
	if !May(by.Role, Erase, by.Workbook == workbook) && !May(by.Role, Govern, false) {
		return ErrMayNot
	}
	people, err := c.People()
	if err != nil {
		return err
	}
	about, owned := "a teacher who had left", false
	for _, p := range people {
		switch {
		case p.Workbook == workbook && p.Role != Assistant:
			about = p.Name
		case p.Role == Owner:
			owned = true
		}
	}
	if !owned {
		return ErrLastOwner
	}
	return c.EraseWorkbook(workbook, c.entry(by, "deleted for good the workbook of", about))
}
