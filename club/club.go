package club

import (
	"cmp"
	"crypto/rand"
	"fmt"
	"time"
)

// Club is the people of a club. Its methods may be called by several goroutines, and by several programs at once.
type Club struct {
	Storage
	// Now tells the time.
	Now func() time.Time
}

// New is the club in a storage.
func New(s Storage) *Club { return &Club{s, time.Now} }

// entry is what somebody did now.
func (c *Club) entry(by *Person, deed, about string) Entry {
	e := Entry{At: c.Now(), Deed: deed, About: about}
	if by != nil {
		e.By = by.Name
	}
	return e
}

// may asks May about somebody else in the club: people of a workbook are its teacher's business, all others the owner's.
func may(by *Person, role Role, workbook int64) error {
	deed, own := Govern, by.Workbook == workbook
	if role == Assistant {
		deed = Staff
	}
	if !May(by.Role, deed, own) {
		return ErrMayNot
	}
	return nil
}

// OwnerToken makes the one-time way in for the owner, whom a person at the machine alone lets in: a new owner where there is none, else the
// one who joined first once more. What was made before of this kind lets in no longer.
func (c *Club) OwnerToken() (token string, err error) {
	i := Invitation{Role: Owner}
	people, err := c.People()
	if err != nil {
		return "", err
	}
	var first *Person
	for _, p := range people {
		if p.Role == Owner && (first == nil || p.Joined.Before(first.Joined)) {
			first = &p
		}
	}
	if first != nil {
		i.Person, i.Name, i.Workbook = first.ID, first.Name, first.Workbook
	}
	return c.invite(nil, i)
}

// HasOwner says whether somebody owns the club.
func (c *Club) HasOwner() (bool, error) {
	people, err := c.People()
	for _, p := range people {
		if p.Role == Owner {
			return true, err
		}
	}
	return false, err
}

// Invite makes an invitation for somebody of a role. The token lets in; it is not kept.
func (c *Club) Invite(by *Person, role Role, name string) (token string, err error) {
	i := Invitation{Role: role, Name: name}
	switch role {
	case Assistant:
		i.Workbook = by.Workbook
	case Owner, Teacher:
	default:
		return "", fmt.Errorf("an invitation for the role %q: owner, teacher or assistant is right", role)
	}
	if err := may(by, role, i.Workbook); err != nil {
		return "", err
	}
	if err := CheckName(name); err != nil {
		return "", err
	}
	return c.invite(by, i)
}

// Again invites somebody who is there once more, who has lost devices and codes. Accepting it ends what they had.
func (c *Club) Again(by *Person, id int64) (token string, p Person, err error) {
	if p, err = c.Person(id); err != nil {
		return "", p, err
	}
	if err := may(by, p.Role, p.Workbook); err != nil {
		return "", p, err
	}
	token, err = c.invite(by, Invitation{Role: p.Role, Name: p.Name, Workbook: p.Workbook, Person: p.ID})
	return token, p, err
}

func (c *Club) invite(by *Person, i Invitation) (token string, err error) {
	token = rand.Text()
	i.Made = c.Now()
	i.Expires = i.Made.Add(InvitationLasts)
	deed := "invited as " + string(i.Role)
	if i.Person != 0 {
		deed = "invited again"
	}
	if by != nil {
		i.By = by.ID
	}
	return token, c.AddInvitation(Hash(token), &i, c.entry(by, deed, cmp.Or(i.Name, "the owner")))
}

// Withdraw takes back an invitation that lets in still.
func (c *Club) Withdraw(by *Person, id int64) error {
	open, err := c.Invitations(c.Now())
	if err != nil {
		return err
	}
	for _, i := range open {
		if i.ID == id {
			if err := may(by, i.Role, i.Workbook); err != nil {
				return err
			}
			return c.Storage.Withdraw(id, c.entry(by, "withdrew an invitation", cmp.Or(i.Name, "the owner")))
		}
	}
	return ErrNoInvitation
}

// Invited is the invitation of a token while it lets in.
func (c *Club) Invited(token string) (Invitation, error) {
	return c.Invitation(Hash(token), c.Now())
}

// Accept lets in whom an invitation is for, under a name, with a passkey. The recovery codes are not kept: they are shown once.
func (c *Club) Accept(token, name string, k Passkey) (p Person, codes []string, err error) {
	i, err := c.Invited(token)
	if err != nil {
		return p, nil, err
	}
	if i.Person != 0 {
		name = i.Name
	}
	if err := CheckName(name); err != nil {
		return p, nil, err
	}
	codes, hashes := newCodes()
	p = Person{ID: i.Person, Role: i.Role, Name: name, Workbook: i.Workbook, Joined: c.Now()}
	k.Made = p.Joined
	p, err = c.Storage.Accept(Hash(token), p, k, hashes, c.entry(&p, "came by an invitation", ""))
	return p, codes, err
}

func newCodes() (codes, hashes []string) {
	for range CodesEach {
		code := newCode()
		codes, hashes = append(codes, code), append(hashes, codeHash(code))
	}
	return codes, hashes
}

// RenewCodes gives a person new recovery codes in place of those before.
func (c *Club) RenewCodes(p *Person) (codes []string, err error) {
	codes, hashes := newCodes()
	return codes, c.SetCodes(p.ID, hashes, c.entry(p, "made new recovery codes", ""))
}

// Recover lets in by a recovery code, once.
func (c *Club) Recover(code string) (Person, error) {
	p, err := c.UseCode(codeHash(code), c.Now())
	if err != nil {
		return p, err
	}
	return p, c.Note(c.entry(&p, "signed in by a recovery code", ""))
}

// SignedIn keeps that a passkey was used.
func (c *Club) SignedIn(p *Person, k Passkey) error {
	k.Used = c.Now()
	return c.UsedPasskey(k, c.entry(p, "signed in", ""))
}

// KeepPasskey keeps one more passkey of a person.
func (c *Club) KeepPasskey(p *Person, k Passkey) error {
	k.Person, k.Made = p.ID, c.Now()
	return c.AddPasskey(k, c.entry(p, "made a passkey", ""))
}

// DropPasskey removes a passkey of a person, who must have another.
func (c *Club) DropPasskey(p *Person, id string) error {
	return c.RemovePasskey(p.ID, id, c.entry(p, "removed a passkey", ""))
}

// End takes somebody out of the club. Nobody ends themselves: somebody must be there to let them in again.
func (c *Club) End(by *Person, id int64) (p Person, err error) {
	if p, err = c.Person(id); err != nil {
		return p, err
	}
	if err := may(by, p.Role, p.Workbook); err != nil {
		return p, err
	}
	if p.ID == by.ID {
		return p, ErrMayNot
	}
	return p, c.EndPerson(id, c.entry(by, "ended the account of", p.Name))
}

// Managed are the people whom somebody may invite again or end, and the invitations that somebody may withdraw.
func (c *Club) Managed(by *Person) (people []Person, open []Invitation, err error) {
	all, err := c.People()
	if err != nil {
		return nil, nil, err
	}
	for _, p := range all {
		if may(by, p.Role, p.Workbook) == nil {
			people = append(people, p)
		}
	}
	invited, err := c.Invitations(c.Now())
	for _, i := range invited {
		if may(by, i.Role, i.Workbook) == nil {
			open = append(open, i)
		}
	}
	return people, open, err
}
