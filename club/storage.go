package club

import "time"

// Storage is where people are kept. What changes somebody and the entry about it are kept together, or neither.
type Storage interface {
	// Person is one who has not left, or ErrNobody. People are all of them, by name.
	Person(id int64) (Person, error)
	People() ([]Person, error)
	// EndPerson takes somebody out of the club with passkeys, recovery codes, sessions and invitations to come again; what is in the
	// workbook stays.
	EndPerson(id int64, e Entry) error

	// EraseWorkbook deletes a workbook and the people who work in it, for good, in every place where something of it is kept; store.ErrNoTeacher
	// where there is none. Orphans are the workbooks in which nobody works any more.
	EraseWorkbook(workbook int64, e Entry) error
	Orphans() ([]int64, error)

	// AddInvitation keeps an invitation under the hash of its token, and gives it its number. One that is for the same person, or by
	// nobody for an owner, replaces those before.
	AddInvitation(hash string, i *Invitation, e Entry) error
	// Invitation is the one of a hash while it lets in; else ErrNoInvitation, ErrUsed or ErrExpired.
	Invitation(hash string, now time.Time) (Invitation, error)
	// Invitations are all that let in, the newest first.
	Invitations(now time.Time) ([]Invitation, error)
	// Withdraw takes an invitation back.
	Withdraw(id int64, e Entry) error
	// Accept uses an invitation up: its person is there then, with one passkey and the hashes of recovery codes in place of all before,
	// and without sessions. A new owner or teacher gets a workbook. ErrNoInvitation, ErrUsed or ErrExpired where it does not let in.
	Accept(hash string, p Person, k Passkey, codes []string, e Entry) (Person, error)

	// Passkey is one by what the browser calls it, or ErrNoPasskey. Passkeys are those of a person, the oldest first.
	Passkey(id string) (Passkey, error)
	Passkeys(person int64) ([]Passkey, error)
	AddPasskey(k Passkey, e Entry) error
	// UsedPasskey keeps what changes of a passkey when it is used.
	UsedPasskey(k Passkey, e Entry) error
	// RemovePasskey removes one of a person; ErrLastPasskey where it is the last, ErrNoPasskey where it is not theirs.
	RemovePasskey(person int64, id string, e Entry) error

	// SetCodes replaces the recovery codes of a person. CodesLeft is how many were not used.
	SetCodes(person int64, hashes []string, e Entry) error
	CodesLeft(person int64) (int, error)
	// UseCode uses a recovery code up and says whose it is; ErrCode where none is so.
	UseCode(hash string, at time.Time) (Person, error)

	// KeepCeremony keeps what a browser was asked while somebody signs in, TakeCeremony gives it back, once: ErrGone.
	KeepCeremony(hash string, data []byte, expires time.Time) error
	TakeCeremony(hash string, now time.Time) ([]byte, error)

	// KeepSession keeps a session as it is now. Session is the one of a hash, ok false where none is, or it has expired.
	KeepSession(s Session) error
	Session(hash string, now time.Time) (s Session, ok bool, err error)
	// Sessions are those of a person, the newest first.
	Sessions(person int64, now time.Time) ([]Session, error)
	// EndSession ends one. EndSessions ends those of a person but one; but may be "".
	EndSession(hash string) error
	EndSessions(person int64, but string) error

	// AddShared puts a copy on the shelf and gives it its number; ErrShelfFull where so many of its workbook are there. AllShared are all,
	// the newest first, without their files. Shared is one; it and RemoveShared return ErrNotShared where there is none.
	AddShared(s *Shared, most int, e Entry) error
	AllShared() ([]Shared, error)
	Shared(id int64) (Shared, error)
	RemoveShared(id int64, e Entry) error

	// Note puts an entry into the list of what was done; Entries are the newest of it.
	Note(e Entry) error
	Entries(most int) ([]Entry, error)
}
