package sql

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"secondpass/club"
)

// passkey is one that the store takes for one.
func passkey(name string) club.Passkey {
	return club.Passkey{ID: name, Name: "a browser", Credential: []byte(`{"of":"` + name + `"}`)}
}

// startClub is a club with its owner, whose clock stands at now.
func startClub(t *testing.T, at *place, now *time.Time) (*club.Club, *Database, club.Person) {
	t.Helper()
	d := at.open(t).Database
	d.Clock = func() time.Time { return *now }
	c := club.New(People{d})
	c.Now = d.Clock
	token, err := c.OwnerToken()
	if err != nil {
		t.Fatal(err)
	}
	owner, _, err := c.Accept(token, "Olga", passkey("olga"))
	if err != nil || owner.Role != club.Owner || owner.Workbook == 0 {
		t.Fatal(owner, err)
	}
	return c, d, owner
}

func join(t *testing.T, c *club.Club, by *club.Person, role club.Role, name string) (club.Person, []string) {
	t.Helper()
	token, err := c.Invite(by, role, name)
	if err != nil {
		t.Fatal(name, err)
	}
	p, codes, err := c.Accept(token, name, passkey(name))
	if err != nil {
		t.Fatal(name, err)
	}
	return p, codes
}

// An invitation lets one person in, once, within seven days, however many try at the same time.
func TestInvitations(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, _, owner := startClub(t, at, &now)
		token, err := c.Invite(&owner, club.Teacher, "Ana")
		if err != nil {
			t.Fatal(err)
		}
		const tries = 16
		came := make(chan error, tries)
		var all sync.WaitGroup
		for i := range tries {
			all.Go(func() {
				_, _, err := c.Accept(token, "Ana", passkey(fmt.Sprint("ana", i)))
				came <- err
			})
		}
		all.Wait()
		close(came)
		in := 0
		for err := range came {
			if err == nil {
				in++
			} else if !errors.Is(err, club.ErrUsed) {
				t.Error(err)
			}
		}
		people, err := c.People()
		if in != 1 || len(people) != 2 || err != nil {
			t.Errorf("%d came in; %v %v", in, people, err)
		}
		late, err := c.Invite(&owner, club.Teacher, "Bea")
		if err != nil {
			t.Fatal(err)
		}
		now = now.Add(club.InvitationLasts + time.Second)
		if _, _, err := c.Accept(late, "Bea", passkey("bea")); !errors.Is(err, club.ErrExpired) {
			t.Error("after seven days:", err)
		}
		if _, err := c.Invited("made up"); !errors.Is(err, club.ErrNoInvitation) {
			t.Error(err)
		}
		gone, err := c.Invite(&owner, club.Teacher, "Cleo")
		if err != nil {
			t.Fatal(err)
		}
		_, open, err := c.Managed(&owner)
		if err != nil || len(open) != 1 || open[0].Name != "Cleo" {
			t.Fatal(open, err)
		}
		if err := c.Withdraw(&people[0], open[0].ID); !errors.Is(err, club.ErrMayNot) && people[0].Role != club.Owner {
			t.Error("a teacher withdraws the owner's invitation:", err)
		}
		if err := c.Withdraw(&owner, open[0].ID); err != nil {
			t.Error(err)
		}
		if _, _, err := c.Accept(gone, "Cleo", passkey("cleo")); !errors.Is(err, club.ErrNoInvitation) {
			t.Error("a withdrawn one:", err)
		}
	})
}

// Each recovery code signs in once, however many try it at the same time; new ones replace those before.
func TestRecoveryCodes(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, _, owner := startClub(t, at, &now)
		ana, codes := join(t, c, &owner, club.Teacher, "Ana")
		var all sync.WaitGroup
		var mu sync.Mutex
		in := 0
		for range 8 {
			all.Go(func() {
				p, err := c.Recover(codes[0])
				mu.Lock()
				defer mu.Unlock()
				if err == nil && p.ID == ana.ID {
					in++
				} else if !errors.Is(err, club.ErrCode) {
					t.Error(err)
				}
			})
		}
		all.Wait()
		if left, err := c.CodesLeft(ana.ID); in != 1 || left != club.CodesEach-1 || err != nil {
			t.Errorf("in %d times, %d left, %v", in, left, err)
		}
		renewed, err := c.RenewCodes(&ana)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Recover(codes[1]); !errors.Is(err, club.ErrCode) {
			t.Error("one of before:", err)
		}
		if _, err := c.Recover(renewed[1]); err != nil {
			t.Error(err)
		}
	})
}

// Who is who: each teacher has a workbook of her own, assistants share one; people are managed by whom it concerns; whoever leaves is gone at
// once with sessions and passkeys, and what was done is listed.
func TestPeople(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, d, owner := startClub(t, at, &now)
		ana, _ := join(t, c, &owner, club.Teacher, "Ana")
		bea, _ := join(t, c, &owner, club.Teacher, "Bea")
		hal, _ := join(t, c, &ana, club.Assistant, "Hal")
		if ana.Workbook == bea.Workbook || hal.Workbook != ana.Workbook || ana.Workbook == owner.Workbook {
			t.Error("workbooks:", owner, ana, bea, hal)
		}
		if _, err := d.For(ana.Workbook).Add(newExercise(t, "Monday")); err != nil {
			t.Error("a teacher's store takes nothing:", err)
		}
		if list, err := d.For(bea.Workbook).List(false); err != nil || len(list) != 0 {
			t.Error("another's exercises:", list, err)
		}
		for what, err := range map[string]error{
			"a teacher invites a teacher":                second(c.Invite(&ana, club.Teacher, "Dot")),
			"an assistant invites":                       second(c.Invite(&hal, club.Assistant, "Dot")),
			"a teacher ends another's assistant":         second(c.End(&bea, hal.ID)),
			"a teacher ends the owner":                   second(c.End(&ana, owner.ID)),
			"a teacher invites another's assistant in":   third(c.Again(&bea, hal.ID)),
			"the owner ends herself, and nobody is left": second(c.End(&owner, owner.ID)),
			// Assistants are their teacher's business alone.
			"the owner ends a teacher's assistant": second(c.End(&owner, hal.ID)),
		} {
			if !errors.Is(err, club.ErrMayNot) {
				t.Errorf("%s: %v", what, err)
			}
		}
		keep := func(p club.Person, hash string) {
			t.Helper()
			if err := c.KeepSession(club.Session{Hash: hash, Person: p.ID, Data: []byte{0, 1, 255}, Began: now, Expires: now.Add(time.Hour)}); err != nil {
				t.Fatal(err)
			}
		}
		keep(ana, "ana one")
		keep(ana, "ana two")
		keep(hal, "hal")
		if s, ok, err := c.Session("ana one", now); !ok || err != nil || string(s.Data) != "\x00\x01\xff" || s.Person != ana.ID {
			t.Error(s, ok, err)
		}
		if _, ok, err := c.Session("ana one", now.Add(2*time.Hour)); ok || err != nil {
			t.Error("an expired session:", ok, err)
		}
		if err := c.RemovePasskey(ana.ID, "Ana", club.Entry{At: now}); !errors.Is(err, club.ErrLastPasskey) {
			t.Error("the last passkey:", err)
		}
		if err := c.RemovePasskey(bea.ID, "Ana", club.Entry{At: now}); !errors.Is(err, club.ErrNoPasskey) {
			t.Error("another's passkey:", err)
		}
		// Ana has lost all, and is let in again in person: what she had of keys and sessions ends, her workbook stays.
		token, _, err := c.Again(&owner, ana.ID)
		if err != nil {
			t.Fatal(err)
		}
		again, _, err := c.Accept(token, "somebody", passkey("ana's new one"))
		if err != nil || again.ID != ana.ID || again.Name != "Ana" || again.Workbook != ana.Workbook {
			t.Error(again, err)
		}
		if _, err := c.Passkey("Ana"); !errors.Is(err, club.ErrNoPasskey) {
			t.Error("her passkey of before:", err)
		}
		if list, err := c.Sessions(ana.ID, now); err != nil || len(list) != 0 {
			t.Error("her sessions of before:", list, err)
		}
		// A teacher who leaves takes her assistants along.
		keep(ana, "ana three")
		if _, err := c.End(&owner, ana.ID); err != nil {
			t.Fatal(err)
		}
		for _, id := range []int64{ana.ID, hal.ID} {
			if _, err := c.Person(id); !errors.Is(err, club.ErrNobody) {
				t.Error("still there:", err)
			}
		}
		for _, hash := range []string{"ana three", "hal"} {
			if _, ok, err := c.Session(hash, now); ok || err != nil {
				t.Errorf("%s is signed in still: %v", hash, err)
			}
		}
		if err := c.KeepSession(club.Session{Hash: "late", Person: ana.ID, Began: now, Expires: now.Add(time.Hour)}); err == nil {
			t.Error("a session of somebody who has left is kept")
		}
		entries, err := c.Entries(3)
		if err != nil || len(entries) != 3 || entries[0] != (club.Entry{At: now.Local(), By: "Olga", Deed: "ended the account of", About: "Ana"}) {
			t.Error(entries, err)
		}
	})
}

// The command line lets the owner in again, and each new link of it takes the place of the one before.
func TestOwnerToken(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, _, owner := startClub(t, at, &now)
		first, err := c.OwnerToken()
		if err != nil {
			t.Fatal(err)
		}
		second, err := c.OwnerToken()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Invited(first); !errors.Is(err, club.ErrNoInvitation) {
			t.Error("the link of before:", err)
		}
		if p, _, err := c.Accept(second, "", passkey("new")); err != nil || p.ID != owner.ID {
			t.Error(p, err)
		}
	})
}

// The shelf shows a copy to those to whom it was given; who gave it takes it back, and the owner may; so many of a workbook and no more.
func TestShelf(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, _, owner := startClub(t, at, &now)
		ana, _ := join(t, c, &owner, club.Teacher, "Ana")
		bea, _ := join(t, c, &owner, club.Teacher, "Bea")
		hal, _ := join(t, c, &bea, club.Assistant, "Hal")
		cleo, _ := join(t, c, &owner, club.Teacher, "Cleo")
		for name, whom := range map[string]int64{"for all": 0, "for Bea": bea.Workbook} {
			if err := c.Share(&ana, club.Shared{Sort: "exercise", Name: name, For: whom, File: []byte("file " + name)}); err != nil {
				t.Fatal(err)
			}
		}
		sees := func(p *club.Person) map[string]int64 {
			t.Helper()
			list, err := c.Shelf(p)
			if err != nil {
				t.Fatal(err)
			}
			got := map[string]int64{}
			for _, s := range list {
				got[s.Name] = s.ID
				if s.File != nil || s.By != "Ana" {
					t.Errorf("%+v", s)
				}
			}
			return got
		}
		all := sees(&ana)
		for _, one := range []struct {
			p    *club.Person
			want int
		}{{&ana, 2}, {&bea, 2}, {&hal, 2}, {&cleo, 1}} {
			got := sees(one.p)
			if len(got) != one.want || got["for all"] == 0 {
				t.Errorf("%s sees %v", one.p.Name, got)
			}
			s, err := c.TakeShared(one.p, all["for Bea"])
			if taken := err == nil && string(s.File) == "file for Bea"; taken != (one.want == 2) || err != nil && !errors.Is(err, club.ErrNotShared) {
				t.Errorf("%s takes %q, %v", one.p.Name, s.File, err)
			}
		}
		for p, want := range map[*club.Person]error{&bea: club.ErrMayNot, &cleo: club.ErrNotShared} {
			if err := c.TakeBack(p, all["for Bea"]); !errors.Is(err, want) {
				t.Errorf("%s takes back what she has not given: %v", p.Name, err)
			}
		}
		if err := errors.Join(c.TakeBack(&ana, all["for Bea"]), c.TakeBack(&owner, all["for all"])); err != nil {
			t.Error(err)
		}
		if _, err := c.TakeShared(&bea, all["for Bea"]); !errors.Is(err, club.ErrNotShared) {
			t.Error("taken back:", err)
		}
		if err := c.Share(&ana, club.Shared{Sort: "exercise", Name: "for nobody", For: 99}); !errors.Is(err, club.ErrNobody) {
			t.Error("for somebody who is not there:", err)
		}
		if err := c.Share(&ana, club.Shared{Sort: "exercise", Name: "large", File: make([]byte, 9<<20)}); !errors.Is(err, club.ErrTooLarge) {
			t.Error(err)
		}
		for range 2 {
			if err := (People{at.open(t).Database}).AddShared(&club.Shared{Sort: "card", From: cleo.Workbook, At: now}, 2, club.Entry{At: now}); err != nil {
				t.Fatal(err)
			}
		}
		if err := (People{at.open(t).Database}).AddShared(&club.Shared{Sort: "card", From: cleo.Workbook, At: now}, 2, club.Entry{At: now}); !errors.Is(err, club.ErrShelfFull) {
			t.Error("a third of two:", err)
		}
	})
}

// What a browser was asked is given back once, and not after its time.
func TestCeremonies(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
		c, d, _ := startClub(t, at, &now)
		keep := func(hash string) {
			if err := c.KeepCeremony(hash, []byte("asked"), now.Add(time.Minute)); err != nil {
				t.Fatal(err)
			}
		}
		keep("one")
		if data, err := c.TakeCeremony("one", now); string(data) != "asked" || err != nil {
			t.Error(string(data), err)
		}
		if _, err := c.TakeCeremony("one", now); !errors.Is(err, club.ErrGone) {
			t.Error("a second time:", err)
		}
		keep("two")
		if _, err := c.TakeCeremony("two", now.Add(2*time.Minute)); !errors.Is(err, club.ErrGone) {
			t.Error("too late:", err)
		}
		now = now.Add(2 * time.Minute)
		keep("three")
		if n := count(t, d.For(OnlyTeacher), `SELECT COUNT(*) FROM ceremonies`); n != 1 {
			t.Errorf("%d are kept; those of before are of no use", n)
		}
	})
}

// second and third are the errors of calls with other results.
func second[T any](_ T, err error) error        { return err }
func third[T, U any](_ T, _ U, err error) error { return err }
