package club

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"
	"golang.org/x/time/rate"

	"secondpass/club"
	"secondpass/face/web"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/store/sql"
	"secondpass/work"
	"secondpass/work/workers"
)

//go:embed templates assets
var embedded embed.FS

// Teachers is what teachers keep.
type Teachers interface {
	// Kept is what one keeps; of a teacher who is not there it is empty and takes nothing.
	Kept(teacher int64) (store.Store, store.Files)
	// TeacherOf is the teacher to whom the code or link of a class leads, or the token of a student; store.ErrNoTeacher where it leads
	// nowhere.
	TeacherOf(key string) (int64, error)
	// MoveOut puts all that a teacher keeps into a file, MoveIn such a file into the account of one who keeps nothing: store.ErrNotEmpty.
	MoveOut(teacher int64, to string) error
	MoveIn(teacher int64, from string) error
	// There says that what is kept cannot be reached.
	There() error
	// Held is how many bytes a teacher keeps; Purge throws away for good what she has deleted.
	Held(teacher int64) (int64, error)
	Purge(teacher int64) error
	// Worked is how long cores have worked for a teacher's simulations on the day of a time; AddWork adds to it, and returns what it has come to.
	Worked(teacher int64, on time.Time) (time.Duration, error)
	AddWork(teacher int64, on time.Time, more time.Duration) (time.Duration, error)
	// Join makes this program one of several processes that serve the club, by an address at which the others reach it.
	Join(address string) (*sql.Process, error)
}

// Setup is what a club is served with.
type Setup struct {
	Club     *club.Club
	Teachers Teachers
	// Public is the address by which people reach the club: https, or http with the name localhost.
	Public *url.URL
	// Inner is by which address, as host:port, other processes that serve the club reach this one; "" where there are none.
	Inner string
	// Proxies are trusted to say whom they pass on.
	Proxies []netip.Prefix
	// Storage is how many bytes a teacher may keep, Work for how long cores may work for her simulations in a day; 0 for as much as there is.
	Storage int64
	Work    time.Duration
	// Workers is to whom long work is sent while there are any, and Look how one looks at them; nil where it is done by this process.
	Workers *workers.Sender
	Look    func(context.Context) (*workers.Standing, error)
	Log     *slog.Logger
}

// Front is the server of a club. Its methods may be called by several goroutines.
type Front struct {
	*page.Pages
	Setup
	books    *workbooks
	lobby    *book
	phones   *page.Mux
	led      led
	sessions *scs.SessionManager
	keys     *webauthn.WebAuthn
	own      *page.Mux
	watch    *watch
	// process is this one among those that serve the club, nil where it is alone; passer carries requests to the others.
	process *sql.Process
	passer  *http.Transport
	stop    context.CancelFunc
	// moving is held while a whole workbook is brought in or taken out: one at a time is enough for a machine.
	moving sync.Mutex
	// signing bounds who begins to sign in, recovering who tries recovery codes, guesses wrong codes of classes, asking all requests: by
	// address, the first three also of all addresses together.
	signing, recovering, guesses, asking *hall.Limits
}

// sessionLasts is how long somebody stays signed in.
const sessionLasts = 30 * 24 * time.Hour

// statuses is what errors of the club mean to a reader.
var statuses = []page.Known{
	{Err: club.ErrNobody, Status: http.StatusNotFound}, {Err: club.ErrNoInvitation, Status: http.StatusNotFound}, {Err: club.ErrUsed, Status: http.StatusGone},
	{Err: club.ErrExpired, Status: http.StatusGone}, {Err: club.ErrCode, Status: http.StatusUnauthorized}, {Err: club.ErrNoPasskey, Status: http.StatusUnauthorized},
	{Err: club.ErrLastPasskey, Status: http.StatusConflict}, {Err: club.ErrMayNot, Status: http.StatusForbidden}, {Err: club.ErrLastOwner, Status: http.StatusConflict}, {Err: store.ErrNoTeacher, Status: http.StatusNotFound}, {Err: store.ErrNoRoom, Status: http.StatusConflict}, {Err: club.ErrGone, Status: http.StatusGone},
	{Err: club.ErrNotShared, Status: http.StatusNotFound}, {Err: club.ErrShelfFull, Status: http.StatusConflict}, {Err: club.ErrTooLarge, Status: http.StatusRequestEntityTooLarge},
	{Err: store.ErrNotFound, Status: http.StatusNotFound}, {Err: store.ErrNoLesson, Status: http.StatusNotFound}, {Err: store.ErrNoDrill, Status: http.StatusNotFound},
	{Err: store.ErrBusy, Status: http.StatusServiceUnavailable}, {Err: store.ErrDisk, Status: http.StatusServiceUnavailable}, {Err: store.ErrReadOnly, Status: http.StatusServiceUnavailable},
	{Err: store.ErrAway, Status: http.StatusServiceUnavailable}, {Err: store.ErrUnsure, Status: http.StatusServiceUnavailable}, {Err: store.ErrFull, Status: http.StatusInsufficientStorage}, {Err: store.ErrDamaged, Status: http.StatusServiceUnavailable},
}

// worded makes of an error of the club a sentence for readers; others stay as they are.
func worded(err error) error {
	for _, k := range statuses {
		if errors.Is(err, k.Err) {
			return page.Errorf(k.Status, "%s.", wording.Capital(k.Err.Error()))
		}
	}
	return err
}

// show is a page of the club that may fail.
func (f *Front) show(h page.Handler) http.HandlerFunc {
	return f.Handle(func(w http.ResponseWriter, r *http.Request) error { return worded(h(w, r)) })
}

// CheckPublic says why an address cannot be that of a club: browsers make passkeys for names alone, and only where what is sent is
// encrypted, or stays on the machine.
func CheckPublic(u *url.URL) error {
	host := u.Hostname()
	_, notName := netip.ParseAddr(host)
	switch {
	case u.Scheme != "https" && (u.Scheme != "http" || host != "localhost"):
		return fmt.Errorf("%s: passkeys need https, as in https://club.example; http only with the name localhost, to try it out", u)
	case notName == nil || host == "":
		return fmt.Errorf("%s: passkeys need a name, as in https://club.example", u)
	case strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.User != nil:
		return fmt.Errorf("%s: an address without a path is right, as in https://club.example", u)
	}
	return nil
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(embedded, "templates"), view.Parts())

// New makes the server of a club.
func New(s Setup) (*Front, error) {
	if err := CheckPublic(s.Public); err != nil {
		return nil, err
	}
	room := web.NewRoom()
	bar := (&web.Club{}).Bar()
	site, err := page.New(s.Log, bar, statuses...)
	if err != nil {
		return nil, err
	}
	now := time.Now
	f := &Front{Setup: s, watch: newWatch(), own: &page.Mux{}, passer: newPasser(),
		signing:    hall.NewLimits(rate.Every(2*time.Second), 20, rate.NewLimiter(20, 200), now),
		recovering: hall.NewLimits(rate.Every(10*time.Second), 10, rate.NewLimiter(1, 60), now),
		guesses:    hall.NewLimits(rate.Every(6*time.Second), 10, rate.NewLimiter(1, 120), now),
		asking:     hall.NewLimits(100, 2000, nil, now)}
	if f.Pages, err = site.Pages(pages); err != nil {
		return nil, err
	}
	f.sessions = f.newSessions()
	f.keys, err = webauthn.New(&webauthn.Config{RPID: s.Public.Hostname(), RPDisplayName: "secondpass", RPOrigins: []string{f.address()},
		AttestationPreference:  protocol.PreferNoAttestation,
		AuthenticatorSelection: protocol.AuthenticatorSelection{ResidentKey: protocol.ResidentKeyRequirementRequired, UserVerification: protocol.VerificationRequired}})
	if err != nil {
		return nil, err
	}
	if s.Inner != "" {
		if f.process, err = s.Teachers.Join(s.Inner); err != nil {
			return nil, err
		}
	}
	f.books = newWorkbooks(s.Teachers, f.process, func(teacher int64, kept store.Store, files store.Files) (*web.Server, error) {
		c := web.Club{Address: f.address(), Room: room, Allowance: newLedger(f.Teachers, teacher, f.Work, f.Log), Workers: f.Look, May: f.mayCome(teacher)}
		if f.Workers != nil {
			c.Under = work.WithWorkers(context.Background(), sends{f.Workers, teacher})
		}
		return web.InClub(kept, files, s.Log, c)
	})
	if f.lobby, err = f.books.lobby(); err != nil {
		return nil, err
	}
	f.phones = f.lobby.server.Classes.PhoneRoutes()
	f.watch.count("workbooks_open", "Workbooks of teachers that are held ready.", f.books.held)
	f.route()
	ctx, stop := context.WithCancel(context.Background())
	f.stop = stop
	if f.process != nil {
		go f.books.rest(ctx)
	}
	if s.Workers != nil {
		go s.Workers.Any(ctx) // the first look takes longest
	}
	return f, nil
}

// address is the public one, without a slash at its end.
func (f *Front) address() string { return f.Public.Scheme + "://" + f.Public.Host }

// Close ends what goes on in workbooks, and lets the club's other processes have them; requests that still come are passed on to those.
// It may be called while requests are answered.
func (f *Front) Close() {
	f.stop()
	f.books.noMore()
	if err := f.books.close(); err != nil {
		f.Log.Error("workbooks could not be handed over; others take them when this process has ended", "error", err)
	}
}

// Leave ends what others know of this process, after Close, when no more requests come.
func (f *Front) Leave() {
	if f.process != nil {
		f.process.Leave()
	}
	f.passer.CloseIdleConnections()
}

// route is the club's own pages.
func (f *Front) route() {
	files, err := fs.Sub(embedded, "assets")
	if err != nil {
		panic(err) // the folder is embedded
	}
	for _, name := range []string{"club.js", "club.css"} {
		f.own.Handle("GET /assets/"+name, page.Files(files))
	}
	f.own.HandleFunc("GET /{$}", f.show(func(w http.ResponseWriter, r *http.Request) error {
		if _, err := f.who(r); err != nil {
			return page.SeeOther(w, r, signInPath)
		}
		return page.SeeOther(w, r, "/exercises")
	}))
	f.routeSignIn()
	f.routeInvitations()
	f.routeAccount()
	f.routeMoving()
	f.routeShelf()
	f.routePeople()
}

// Handler is the whole club.
func (f *Front) Handler() http.Handler {
	own := f.sessions.LoadAndSave(page.Compressed(page.Guard(page.FormsLead(&f.own.ServeMux))))
	books := f.sessions.LoadAndSave(http.HandlerFunc(f.toWorkbook))
	inside := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, route := f.own.Handler(r); route != "" {
			f.watch.at(r, route)
			f.bounded(own).ServeHTTP(w, r)
			return
		}
		if _, route := f.phones.Handler(r); route != "" || strings.HasPrefix(r.URL.Path, "/assets/") {
			f.watch.at(r, route)
			f.toPhones(w, r)
			return
		}
		f.bounded(books).ServeHTTP(w, r)
	})
	return f.watched(f.fromProxies(f.fromProcesses(f.guarded(inside))))
}

// bounded answers 429 to an address that asks too often.
func (f *Front) bounded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if passed(r) { // it was bounded where it came in
			next.ServeHTTP(w, r)
			return
		}
		if _, ok := f.asking.Take(addressOf(r)); !ok {
			tooMany(w, "2")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func tooMany(w http.ResponseWriter, seconds string) {
	w.Header().Set("Retry-After", seconds)
	http.Error(w, "Too many requests at once. Wait a moment, then open the page again.", http.StatusTooManyRequests)
}

// errSignIn: nobody is signed in in this browser.
var errSignIn = page.Errorf(http.StatusUnauthorized, "You are not signed in here. Open the club's first page and sign in.")

// toWorkbook gives a request to the workbook of who is signed in.
func (f *Front) toWorkbook(w http.ResponseWriter, r *http.Request) {
	p, err := f.who(r)
	if errors.Is(err, errSignIn) && r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
		http.Redirect(w, r, signInPath+"?to="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	if err != nil {
		f.Fail(w, r, err)
		return
	}
	f.toTeacher(w, r, p.Workbook, func(b *book, w http.ResponseWriter, r *http.Request) {
		deed, answer := "", &noted{ResponseWriter: w}
		ctx := context.WithValue(withPerson(r.Context(), &p), deedKey{}, &deed)
		b.handler.ServeHTTP(answer, r.WithContext(ctx))
		if deed != "" && answer.status < http.StatusBadRequest {
			if err := f.Club.Note(club.Entry{At: f.Club.Now(), By: p.Name, Deed: deed}); err != nil {
				f.Log.Error("what was done is not in the list", "error", err)
			}
		}
	})
}
