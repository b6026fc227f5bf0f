// Package browser opens pages in a real Chromium for tests, as a reader sees and uses them: clicks and keys go through
// the browser's own input, never through calls of the page's script. Chromium comes from Debian; a missing one fails
// the test, it never skips.
//
// One browser serves all tests of a binary, each page in a profile of its own; [Main] ends it. Every wait has a limit
// and fails the test with what was waited for.
package browser

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// patience is how long a page may take for what is waited for. It only bounds a test that hangs.
const patience = 3 * time.Minute

// Look is how a page is seen.
type Look struct {
	// Width and Height of the window in CSS pixels; 0 stands for 1280 and 900. A window less than 640 wide is a phone,
	// with touch and no mouse.
	Width, Height int
	// Dark asks for dark colours, Still for reduced motion; Plain runs none of the page's script.
	Dark, Still, Plain bool
}

// Phone is a narrow telephone, Desk a desktop.
var (
	Phone = Look{Width: 360, Height: 740, Still: true}
	Desk  = Look{Width: 1280, Height: 900, Still: true}
)

func (l Look) sized() Look {
	if l.Width == 0 {
		l.Width = Desk.Width
	}
	if l.Height == 0 {
		l.Height = Desk.Height
	}
	return l
}

// Page is a tab of the browser. Its methods fail the test when what they do cannot be done.
type Page struct {
	t    testing.TB
	ctx  context.Context
	look Look
	mu   sync.Mutex
	said []string // what the browser complained of
}

// shared is the browser of this test binary.
var shared struct {
	once sync.Once
	ctx  context.Context
	end  context.CancelFunc
	err  error
}

func start() {
	path, err := exec.LookPath("chromium")
	if err != nil {
		shared.err = fmt.Errorf("chromium not found: install the Debian package chromium, as ./check does")
		return
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.DisableGPU, chromedp.Flag("hide-scrollbars", true))
	allocator, endAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, endBrowser := chromedp.NewContext(allocator)
	shared.ctx, shared.end = ctx, func() { endBrowser(); endAllocator() }
	// The first call starts the browser, which lives as long as this call's context: no timeout here.
	if err := chromedp.Do(ctx); err != nil {
		shared.err = fmt.Errorf("chromium (%s) did not start: %w", path, err)
	}
}

// Main runs the tests of a binary, a testing.M, and ends the browser: func TestMain(m *testing.M) { browser.Main(m) }.
func Main(m interface{ Run() int }) { os.Exit(Run(m)) }

// Run is Main without the end of the binary: it gives the status.
func Run(m interface{ Run() int }) int {
	code := m.Run()
	if shared.end != nil {
		shared.end()
	}
	return code
}

// Open shows an address in a new profile, which ends with the test.
func Open(t testing.TB, look Look, url string) *Page {
	t.Helper()
	shared.once.Do(start)
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return openIn(t, shared.ctx, look, url, chromedp.WithNewBrowserContext())
}

// Beside shows an address in a second tab of the same profile.
func (p *Page) Beside(url string) *Page {
	p.t.Helper()
	return openIn(p.t, p.ctx, p.look, url)
}

func openIn(t testing.TB, parent context.Context, look Look, url string, options ...chromedp.ContextOption) *Page {
	t.Helper()
	ctx, end := chromedp.NewContext(parent, options...)
	t.Cleanup(end)
	p := &Page{t: t, ctx: ctx, look: look.sized()}
	if err := chromedp.Do(ctx); err != nil { // again without a timeout
		t.Fatalf("a page could not be opened: %v", err)
	}
	go p.listen()
	p.As(look)
	p.Go(url)
	return p
}

// listen keeps what the browser complains of; see Complaints.
func (p *Page) listen() {
	for m, err := range chromedp.Console(p.ctx) {
		if err != nil {
			return
		}
		if m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleException {
			p.mu.Lock()
			p.said = append(p.said, m.Text)
			p.mu.Unlock()
		}
	}
}

// Complaints are the errors on the browser's console so far: exceptions, broken rules of the content policy, missing
// files. Answers with a status of 400 or more to the page itself are among them.
func (p *Page) Complaints() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.said...)
}

// do runs actions within patience.
func (p *Page) do(what string, actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.t.Fatalf("%s: %v\n%s", what, err, p.where())
	}
}

// where says which page is open and how it begins, for failures.
func (p *Page) where() string {
	ctx, cancel := context.WithTimeout(p.ctx, 20*time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`location.href + "\n" + (document.querySelector("main") || document.body).innerText.slice(0, 1200)`))
	if err != nil {
		return "the page does not answer: " + err.Error()
	}
	return "on " + text
}

// As changes how the page is seen.
func (p *Page) As(look Look) {
	p.t.Helper()
	p.look = look.sized()
	var viewport []chromedp.EmulateViewportOption
	if p.look.Width < 640 {
		viewport = append(viewport, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
	}
	scheme, motion := "light", "no-preference"
	if look.Dark {
		scheme = "dark"
	}
	if look.Still {
		motion = "reduce"
	}
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: motion}}}
	p.do("the look of the page", chromedp.EmulateViewport(int64(p.look.Width), int64(p.look.Height), viewport...),
		chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media)
			if err == nil {
				_, err = chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: look.Plain})
			}
			return err
		}))
}

// Go opens an address and waits until it is there.
func (p *Page) Go(url string) {
	p.t.Helper()
	p.do("open "+url, chromedp.Navigate(url))
}

// Back is the browser's back button.
func (p *Page) Back() {
	p.t.Helper()
	// A page kept whole by the browser comes back without loading anew, so there is no load to wait for.
	p.across("the page before", func() { Eval[bool](p, `history.back() === undefined`) })
}

// Reload is the browser's reload button.
func (p *Page) Reload() {
	p.t.Helper()
	p.do("reload", chromedp.Reload())
}

// Offline takes the network away from the page.
func (p *Page) Offline() {
	p.t.Helper()
	p.do("go offline", chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: true, DownloadThroughput: -1, UploadThroughput: -1})
		return err
	}))
}

// Click clicks the first element of a CSS selector, after scrolling it into view.
func (p *Page) Click(css string) {
	p.t.Helper()
	p.do("click "+css, chromedp.Click(chromedp.CSS(css)))
}

// DoubleClick clicks an element twice, as an impatient finger does.
func (p *Page) DoubleClick(css string) {
	p.t.Helper()
	p.do("double click "+css, chromedp.DoubleClick(chromedp.CSS(css)))
}

// Drag presses the mouse on the middle of an element, moves it in steps to just above the lower edge of another, and lets go. Both must fit
// into the window together.
func (p *Page) Drag(from, to string) {
	p.t.Helper()
	at := Eval[[]float64](p, fmt.Sprintf(`(() => { const from = document.querySelector(%q), to = document.querySelector(%q); from.scrollIntoView({ block: "center" });
		const a = from.getBoundingClientRect(), b = to.getBoundingClientRect(); return [a.x + a.width / 2, a.y + a.height / 2, b.x + b.width / 2, b.bottom - 4]; })()`, from, to))
	const steps = 8
	p.do("drag "+from+" to "+to, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		mouse := func(kind input.DispatchMouseEventType, way float64, buttons int64) error {
			_, err := chromedp.Call(ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: at[0] + way*(at[2]-at[0]), Y: at[1] + way*(at[3]-at[1]),
				Button: input.MouseButtonLeft, Buttons: buttons, ClickCount: 1})
			return err
		}
		if err := mouse(input.DispatchMouseEventTypeMousePressed, 0, 1); err != nil {
			return err
		}
		for step := 1; step <= steps; step++ {
			if err := mouse(input.DispatchMouseEventTypeMouseMoved, float64(step)/steps, 1); err != nil {
				return err
			}
		}
		return mouse(input.DispatchMouseEventTypeMouseReleased, 1, 0)
	}))
}

// Follow clicks an element and waits until the page it leads to is there.
func (p *Page) Follow(css string) {
	p.t.Helper()
	p.across("the page after a click on "+css, func() { p.Click(css) })
}

// Named is a selector of the first visible button, link or summary that shows or is called a text.
func (p *Page) Named(text string) string {
	p.t.Helper()
	const mark = `(text) => { document.querySelectorAll("[data-test-named]").forEach(e => e.removeAttribute("data-test-named"));
		const all = [...document.querySelectorAll("button, a, summary, label")].filter(e => e.checkVisibility());
		const said = e => [e.innerText.trim().replace(/\s+/g, " "), e.getAttribute("aria-label") || ""];
		const found = all.find(e => said(e).includes(text)) || all.find(e => said(e).some(s => s.startsWith(text)));
		if (found) found.setAttribute("data-test-named", "");
		return Boolean(found) }`
	p.Until(fmt.Sprintf("something named %q", text), fmt.Sprintf("(%s)(%q)", mark, text))
	return "[data-test-named]"
}

// Type writes into a field, after what stands there, key by key.
func (p *Page) Type(css, text string) {
	p.t.Helper()
	p.do(fmt.Sprintf("type into %s", css), chromedp.SendKeys(chromedp.CSS(css), text))
}

// keys are the keys that have a name; any other is the character itself.
var keys = map[string]string{"Tab": kb.Tab, "Enter": kb.Enter, "Space": " ", "Left": kb.ArrowLeft, "Right": kb.ArrowRight, "Up": kb.ArrowUp,
	"Down": kb.ArrowDown, "Escape": kb.Escape, "Backspace": kb.Backspace, "Home": kb.Home, "End": kb.End}

// Press presses keys one after the other, on whatever has the focus. "Shift+Left" holds Shift.
func (p *Page) Press(names ...string) {
	p.t.Helper()
	for _, name := range names {
		plain, shifted := strings.CutPrefix(name, "Shift+")
		key, ok := keys[plain]
		if !ok {
			key = plain
		}
		var options []chromedp.KeyOption
		if shifted {
			options = append(options, chromedp.KeyModifiers(chromedp.ModifierShift))
		}
		p.do("press "+name, chromedp.KeyEvent(key, options...))
	}
}

// Shift presses a digit with Shift held, as on a keyboard whose digits stand in the upper row: what is typed is another sign.
func (p *Page) Shift(digit string) {
	p.t.Helper()
	p.do("press Shift and "+digit, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeKeyDown, input.DispatchKeyEventTypeKeyUp} {
			if _, err := chromedp.Call(ctx, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Modifiers: 8, Key: "!", Code: "Digit" + digit}); err != nil {
				return err
			}
		}
		return nil
	}))
}

// PressOn presses a key and waits until the page it leads to is there.
func (p *Page) PressOn(name string) {
	p.t.Helper()
	p.across("the page after the key "+name, func() { p.Press(name) })
}

// across waits until another document has taken the place of this one.
func (p *Page) across(what string, act func()) {
	p.t.Helper()
	mark := Eval[float64](p, `window.testStillHere = Math.random()`)
	act()
	p.Until(what, fmt.Sprintf(`window.testStillHere !== %v && document.readyState === "complete"`, mark))
}

// Until waits until an expression is true. A page that is just changing counts as not yet.
func (p *Page) Until(what, expression string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	for {
		yes, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("Boolean("+expression+")"))
		if err == nil && yes {
			return
		}
		select {
		case <-ctx.Done():
			p.t.Fatalf("waited in vain for %s (last answer: %v %v)\n%s", what, yes, err, p.where())
		case <-time.After(15 * time.Millisecond):
		}
	}
}

// UntilText waits until an element shows a text, however it is broken into lines.
func (p *Page) UntilText(css, text string) {
	p.t.Helper()
	// What stands further down may still be on its way when a heading is there.
	p.Until(fmt.Sprintf("%q in %s", text, css), fmt.Sprintf(`document.readyState === "complete" && [...document.querySelectorAll(%q)].some(e => e.innerText.replace(/\s+/g, " ").includes(%q))`, css, text))
}

// Text is what the first element of a selector shows, with single blanks; "" where there is none.
func (p *Page) Text(css string) string {
	p.t.Helper()
	return Eval[string](p, fmt.Sprintf(`(document.querySelector(%q)?.innerText ?? "").trim().replace(/\s+/g, " ")`, css))
}

// Count is the number of elements of a selector.
func (p *Page) Count(css string) int {
	p.t.Helper()
	return Eval[int](p, fmt.Sprintf(`document.querySelectorAll(%q).length`, css))
}

// Path is the address without the host, with what is asked for.
func (p *Page) Path() string {
	p.t.Helper()
	return Eval[string](p, `location.pathname + location.search`)
}

// Eval is the value of an expression in the page.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("%s: %v\n%s", expression, err, p.where())
	}
	return v
}
