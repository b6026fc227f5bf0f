package club

// Role is what somebody is in the club.
type Role string

const (
	// Owner runs the club, and has a workbook as a teacher has.
	Owner Role = "owner"
	// Teacher has a workbook: cards, exercises, drills, lessons, students, classes.
	Teacher Role = "teacher"
	// Assistant works in the workbook of one teacher.
	Assistant Role = "assistant"
	// Student has no account: a code and a name let into a class, a link to practice.
	Student Role = "student"
	// Visitor is who has not signed in.
	Visitor Role = ""
)

// Deed is a kind of thing to do; each page and form is of one.
type Deed string

const (
	// Enter is what anybody may do: sign in, accept an invitation, type the code of a class.
	Enter Deed = "enter"
	// Practise is what students do, in a class or by a link of their own. It is their own where they hold its token.
	Practise Deed = "practise"
	// Look is to see what is in a workbook, Change to make and change it, and to hold classes.
	Look   Deed = "look"
	Change Deed = "change"
	// Erase is to delete people's data for good, or to take it out of the club.
	Erase Deed = "erase"
	// Account is about how somebody signs in: passkeys, recovery codes, sessions.
	Account Deed = "account"
	// Staff is to invite and to end the assistants of a workbook.
	Staff Deed = "staff"
	// Govern is to invite and to end teachers, and to read the list of what was done.
	Govern Deed = "govern"
)

// May says whether somebody of a role may do a deed to something; own says that it is theirs: in their workbook, their account, their
// place in a class.
func May(role Role, deed Deed, own bool) bool {
	switch deed {
	case Enter:
		return true
	case Practise:
		return own && role == Student
	case Look, Change, Account:
		return own && (role == Owner || role == Teacher || role == Assistant)
	case Erase, Staff:
		return own && (role == Owner || role == Teacher)
	case Govern:
		return role == Owner
	}
	return false
}
