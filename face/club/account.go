package club

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"secondpass/club"
	"secondpass/face/web/page"
)

const accountPath = "/account"

func (f *Front) routeAccount() {
	f.account("GET /account", f.showAccount)
	f.accountData("POST /account/passkeys/begin", f.beginPasskey)
	f.accountData("POST /account/passkeys/finish", f.finishPasskey)
	f.account("POST /account/passkeys/remove", f.removePasskey)
	f.account("POST /account/codes", f.renewCodes)
	f.account("POST /account/sessions/end", f.endSessions)
	f.account("POST /account/workbook/purge", f.purge)
	f.account("POST /account/workbook/delete", f.eraseOwn)
}

// when is a moment as pages show it.
func when(t time.Time) string { return t.Format("2 January 2006, 15:04") }

type passkeyLine struct{ ID, Name, Made, Used string }

type sessionLine struct {
	Hash, Where, Began string
	Here               bool
}

type accountPage struct {
	Person   *club.Person
	Passkeys []passkeyLine
	CodesIn  int
	// Codes are new recovery codes, which are shown once.
	Codes    []string
	Sessions []sessionLine
	// ByCode says that a recovery code let in, and that the passkey may be lost.
	ByCode bool
	Govern bool
	Erase  bool
	Staff  bool
	Used   usedUp
}

func (f *Front) showAccount(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	return f.renderAccount(w, r, p, http.StatusOK, accountPage{ByCode: r.FormValue("by") == "code"}, saidOf(r))
}

// saidOf is what was just done.
func saidOf(r *http.Request) string {
	return map[string]string{"passkey": "The passkey is made.", "removed": "The passkey is removed.", "ended": "Ended.", "moved": "All that was in the backup is in your workbook.", "purged": "What was deleted is thrown away."}[r.FormValue("said")]
}

func (f *Front) renderAccount(w http.ResponseWriter, r *http.Request, p *club.Person, status int, a accountPage, said string) error {
	a.Person, a.Govern, a.Staff, a.Erase = p, club.May(p.Role, club.Govern, true), club.May(p.Role, club.Staff, true), club.May(p.Role, club.Erase, true)
	keys, err := f.Club.Passkeys(p.ID)
	if err != nil {
		return err
	}
	for _, k := range keys {
		line := passkeyLine{k.ID, k.Name, when(k.Made), ""}
		if !k.Used.IsZero() {
			line.Used = when(k.Used)
		}
		a.Passkeys = append(a.Passkeys, line)
	}
	if a.CodesIn, err = f.Club.CodesLeft(p.ID); err != nil {
		return err
	}
	sessions, err := f.Club.Sessions(p.ID, f.Club.Now())
	if err != nil {
		return err
	}
	if a.Used, err = f.usedUp(p.Workbook); err != nil {
		return err
	}
	here := f.here(r)
	for _, s := range sessions {
		_, values, err := scs.GobCodec{}.Decode(s.Data)
		if err != nil {
			return err
		}
		where, _ := values[heldWhere].(string)
		a.Sessions = append(a.Sessions, sessionLine{s.Hash, where, when(s.Began), s.Hash == here})
	}
	f.Render(w, status, "account", page.Page{Title: "Account", Section: "Account", Said: said, Data: a})
	return nil
}

// beginPasskey asks for one more passkey.
func (f *Front) beginPasskey(r *http.Request, p *club.Person) (any, error) {
	if _, ok := f.signing.Take(addressOf(r)); !ok {
		return nil, errTooOften
	}
	there, err := f.Club.Passkeys(p.ID)
	if err != nil {
		return nil, err
	}
	return f.beginMaking(accountOf(p), p.Name, there)
}

// accountOf is what a passkey of somebody is asked for.
func accountOf(p *club.Person) string { return fmt.Sprint("account ", p.ID) }

func (f *Front) finishPasskey(r *http.Request, p *club.Person) (any, error) {
	a, q, err := f.answered(r, accountOf(p))
	if err != nil {
		return nil, err
	}
	k, err := f.made(a, q)
	if err != nil {
		return nil, err
	}
	k.Name = browserOf(r)
	return signedIn{To: accountPath + "?said=passkey"}, f.Club.KeepPasskey(p, k)
}

func (f *Front) removePasskey(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	err := f.Club.DropPasskey(p, r.PostForm.Get("id"))
	if errors.Is(err, club.ErrNoPasskey) {
		return page.NotFound("There is no such passkey of yours; it may be removed already.")
	}
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, accountPath+"?said=removed")
}

// renewCodes shows new recovery codes, once: they are not kept.
func (f *Front) renewCodes(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	codes, err := f.Club.RenewCodes(p)
	if err != nil {
		return err
	}
	return f.renderAccount(w, r, p, http.StatusOK, accountPage{Codes: codes}, "")
}

// endSessions ends one session of the person, or all but this one.
func (f *Front) endSessions(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	hash := r.PostForm.Get("session")
	if hash == "" {
		if err := f.Club.EndSessions(p.ID, f.here(r)); err != nil {
			return err
		}
		return page.SeeOther(w, r, accountPath+"?said=ended")
	}
	s, ok, err := f.Club.Session(hash, f.Club.Now())
	if err != nil {
		return err
	}
	if !ok || s.Person != p.ID {
		return page.NotFound("There is no such session of yours; it may have ended.")
	}
	if err := f.Club.EndSession(hash); err != nil {
		return err
	}
	return page.SeeOther(w, r, accountPath+"?said=ended")
}
