package browser

import (
	"context"
	_ "embed"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// axe is axe-core 4.14.1 (MPL-2.0, see testdata): the rules of accessibility that a program can check.
//
//go:embed testdata/axe.min.js
var axe string

// Barriers are the findings of axe-core on the page, a line for each of the first elements: by all its rules, or by those named.
func (p *Page) Barriers(rules ...string) []string {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	options := `{resultTypes: ["violations"]}`
	if len(rules) > 0 {
		options = fmt.Sprintf(`{resultTypes: ["violations"], runOnly: {type: "rule", values: ["%s"]}}`, strings.Join(rules, `", "`))
	}
	run := `(async () => {
		const found = await axe.run(document, ` + options + `);
		return found.violations.flatMap(v =>
			v.nodes.slice(0, 3).map(n => v.impact + ", " + v.id + ": " + n.target.join(" ") + ": " + n.html.slice(0, 160) + ": " + n.failureSummary.replace(/\s+/g, " ")).concat(v.nodes.length > 3 ? [v.id + ": and " + (v.nodes.length - 3) + " more"] : []));
	})()`
	there, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`"axe" in window`))
	if err == nil && !there {
		_, err = chromedp.Run(ctx, chromedp.Evaluate[bool](axe+"; true"))
	}
	if err != nil {
		p.t.Fatalf("axe-core: %v", err)
	}
	found, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](run, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("axe-core: %v\n%s", err, p.where())
	}
	return found
}

// Sideways is what makes the page scroll sideways: the visible elements that reach beyond the window, outermost
// first. A page that fits has none.
func (p *Page) Sideways() []string {
	p.t.Helper()
	return Eval[[]string](p, fmt.Sprintf(`(() => {
		const width = %d, found = [];
		const out = r => r.width > 0 && r.height > 0 && (r.right > width + 1 || r.left < -1);
		const say = (e, r) => e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + (e.className && e.className.baseVal === undefined ? "." + e.className.trim().replace(/\s+/g, ".") : "") +
			" from " + Math.round(r.left) + " to " + Math.round(r.right) + ": " + (e.innerText || "").slice(0, 40).replace(/\s+/g, " ");
		if (document.documentElement.scrollWidth > width) found.push("the page is " + document.documentElement.scrollWidth + " wide, the window " + width);
		const scrolls = e => { for (let p = e.parentElement; p; p = p.parentElement) if (["auto", "scroll", "hidden"].includes(getComputedStyle(p).overflowX)) return true; return false };
		for (const e of document.body.querySelectorAll("*")) {
			if (e.closest(".skip, .sprite, svg *") || !e.checkVisibility()) continue;
			const r = e.getBoundingClientRect();
			if (out(r) && !scrolls(e) && !(e.parentElement && out(e.parentElement.getBoundingClientRect()))) found.push(say(e, r));
		}
		return found;
	})()`, p.look.Width))
}

// Small is the text below a size in CSS pixels, a line for each place.
func (p *Page) Small(least float64) []string {
	p.t.Helper()
	return Eval[[]string](p, fmt.Sprintf(`(() => {
		const found = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		while (walk.nextNode()) {
			const e = walk.currentNode.parentElement, text = walk.currentNode.data.trim();
			if (!text || !e.checkVisibility() || e.closest("script, style")) continue;
			const size = parseFloat(getComputedStyle(e).fontSize);
			if (size < %g - 0.01) found.add(size + " px: " + e.tagName.toLowerCase() + "." + (e.className.baseVal ?? e.className) + ": " + text.slice(0, 40));
		}
		return [...found];
	})()`, least))
}

// Cramped is what is to be tapped but smaller than a size in CSS pixels in either direction: buttons, fields, and
// links that stand alone. Links within sentences are let through, as WCAG 2.2 does (2.5.8).
func (p *Page) Cramped(least float64) []string {
	p.t.Helper()
	return Eval[[]string](p, fmt.Sprintf(`(() => {
		const found = new Set();
		for (const e of document.querySelectorAll("button, .btn, input:not([type=hidden]), select, textarea, summary")) {
			const shown = e.matches("label > input") ? e.parentElement : e;
			if (!shown.checkVisibility()) continue;
			const r = shown.getBoundingClientRect();
			if (r.width && (r.width < %[1]g - 0.5 || r.height < %[1]g - 0.5)) found.add(Math.round(r.width) + " x " + Math.round(r.height) + ": " + e.tagName.toLowerCase() + "." + e.className + ": " + (e.innerText || e.getAttribute("aria-label") || e.name).slice(0, 40).replace(/\s+/g, " "));
		}
		return [...found];
	})()`, least))
}

// Stacked is captions of two words and more that stand one word a line: their column is too narrow for them.
func (p *Page) Stacked() []string {
	p.t.Helper()
	return Eval[[]string](p, `(() => {
		const found = new Set(), range = document.createRange();
		for (const e of document.querySelectorAll("main :is(.cap, th, td, dt, dd, legend, label, p, span, h1, h2, h3, a, button)")) {
			if (!e.checkVisibility() || e.closest("svg, .skip") || [...e.children].some(c => c.innerText?.trim())) continue;
			const words = e.innerText.trim().split(/\s+/);
			if (words.length < 2 || words.length < 3 && !e.matches(".cap, td, dd")) continue;
			range.selectNodeContents(e);
			const lines = new Set([...range.getClientRects()].filter(r => r.width > 1).map(r => Math.round(r.top / 4))).size;
			if (lines >= words.length) found.add(e.tagName.toLowerCase() + "." + e.className + " has " + lines + " lines: " + words.join(" "));
		}
		return [...found];
	})()`)
}

// Namesakes is links that are called alike and lead to different places.
func (p *Page) Namesakes() []string {
	p.t.Helper()
	return Eval[[]string](p, `(() => {
		const to = new Map(), found = new Set();
		for (const a of document.querySelectorAll("a[href]")) {
			if (!a.checkVisibility()) continue;
			const drawn = [...a.querySelectorAll("svg[aria-label]")].map(s => s.getAttribute("aria-label")).join(" ");
			const name = (a.getAttribute("aria-label") ?? a.innerText + " " + drawn).trim().replace(/\s+/g, " ").toLowerCase();
			if (to.has(name) && to.get(name) !== a.href) found.add("\"" + name + "\" leads to " + to.get(name) + " and to " + a.href);
			to.set(name, a.href);
		}
		return [...found];
	})()`)
}

// Hyphened is numbers below zero that are written with a hyphen in place of the minus sign (Unicode, U+2212).
func (p *Page) Hyphened() []string {
	p.t.Helper()
	return Eval[[]string](p, `(() => {
		const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		while (walk.nextNode()) {
			const e = walk.currentNode.parentElement;
			if (!e.closest("script, style, pre, code, .code, textarea") && e.checkVisibility() && /(^|[\s(])-\d/.test(walk.currentNode.data)) found.push(walk.currentNode.data.trim().slice(0, 60));
		}
		return found;
	})()`)
}

// Picture writes the whole page to a PNG file.
func (p *Page) Picture(file string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(file, png, 0o644)
	}
	if err != nil {
		p.t.Fatalf("picture %s: %v", file, err)
	}
}

// Print is the page on paper as a PDF, in the size and direction that the page asks for.
func (p *Page) Print() []byte {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), func(q *page.PrintToPDFParams) { q.PaperWidth, q.PaperHeight = 8.27, 11.69 }))
	if err != nil {
		p.t.Fatalf("print: %v", err)
	}
	return pdf
}

// Rasterise makes a picture of each page of a PDF with pdftoppm (Debian's poppler-utils), in grey at so many dots an
// inch, and returns the files in order.
func Rasterise(t testing.TB, pdf []byte, dpi int) []string {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Fatal("pdftoppm not found: install the Debian package poppler-utils, as ./check does")
	}
	dir := t.TempDir()
	in := filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(in, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(tool, "-png", "-gray", "-r", fmt.Sprint(dpi), in, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, strings.TrimSpace(string(out)))
	}
	files, err := filepath.Glob(filepath.Join(dir, "page-*.png"))
	if err != nil || len(files) == 0 {
		t.Fatalf("pdftoppm made no picture: %v", err)
	}
	return files
}
