//go:build js && wasm

// Command engine is built for the browser: it joins what a reader's page does (package reader) to the page's script. It runs in
// workers, of which one has the book and the others, where something is to be judged, play.
//
// The script sets globalThis.secondpass before it starts: role, content, kept, and send, which posts a message to the page. The engine sets
// its hear, to which the script gives what the page posts. Messages are JSON.
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"runtime/debug"
	"syscall/js"

	"secondpass/engine/sim"
	"secondpass/face/reader"
)

// asked is what the page wants: a link or form answered, a judgement taken over, or what is to be kept.
type asked struct {
	N    int    `json:"n"`
	Post bool   `json:"post"`
	Path string `json:"path"`
	Form string `json:"form"`
	Take string `json:"take"`
}

// answered is the answer to a message by its number. Kept is what the browser is to keep, where that has changed.
type answered struct {
	N int `json:"n"`
	reader.Answer
	Kept string `json:"kept,omitempty"`
}

// collects is how much garbage a worker may have beside what it uses, in per cent, before it is collected: a telephone has less memory
// than time, and games hardly make any.
const collects = 30

func main() {
	debug.SetGCPercent(collects)
	page := js.Global().Get("secondpass")
	inbox := make(chan string, 1<<12)
	page.Set("hear", js.FuncOf(func(_ js.Value, args []js.Value) any {
		inbox <- args[0].String()
		return nil
	}))
	send := func(v any) {
		data, err := json.Marshal(v)
		if err != nil {
			panic(err) // plain values
		}
		page.Call("send", string(data))
	}
	book, err := reader.Open([]byte(page.Get("content").String()), []byte(page.Get("kept").String()))
	if err != nil {
		send(map[string]string{"failed": err.Error()})
		return
	}
	if page.Get("role").String() == "judge" {
		judge(book, page, inbox, send)
		return
	}
	send(map[string]string{"start": book.Start()})
	for text := range inbox {
		var q asked
		if err := json.Unmarshal([]byte(text), &q); err != nil {
			continue
		}
		send(answer(book, &q))
	}
}

// answer answers a message.
func answer(book *reader.Course, q *asked) answered {
	a := answered{N: q.N}
	if q.Take != "" {
		book.Take([]byte(q.Take))
		a.Changed, a.OK = true, true
	} else {
		form, err := url.ParseQuery(q.Form)
		if err != nil {
			form = nil
		}
		a.Answer = book.Ask(q.Post, q.Path, form)
	}
	if a.Changed {
		if data, err := book.Kept(); err == nil {
			a.Kept = string(data)
		}
	}
	return a
}

// judge plays a judgement together with the other workers that do. The first of them tells the page how far it has come.
func judge(book *reader.Course, page js.Value, inbox chan string, send func(any)) {
	c := &circle{inbox: inbox, send: send}
	var told func(reader.Judged)
	if page.Get("first").Bool() {
		told = func(j reader.Judged) { send(map[string]any{"judged": j}) }
	}
	ctx := sim.WithRunner(context.Background(), &sim.Fellow{Circle: c})
	if err := book.Judge(ctx, page.Get("path").String(), page.Get("games").Int(), told); err != nil {
		send(map[string]string{"failed": fmt.Sprint(err)})
	}
}

// circle joins the workers by way of the page, which counts claims and passes on what one tells to all others. It answers no
// claim while the page is hidden.
type circle struct {
	inbox chan string
	send  func(any)
	heard []sim.Told // before a claim was answered
}

// passedOn is what the page passes on: the answer to a claim, or what another worker tells.
type passedOn struct {
	Claimed *int      `json:"claimed"`
	Told    *sim.Told `json:"told"`
}

func (c *circle) next() passedOn {
	for {
		var p passedOn
		if json.Unmarshal([]byte(<-c.inbox), &p) == nil {
			return p
		}
	}
}

func (c *circle) Claim(run int) int {
	c.send(map[string]int{"claim": run})
	for {
		p := c.next()
		if p.Claimed != nil {
			return *p.Claimed
		}
		if p.Told != nil {
			c.heard = append(c.heard, *p.Told)
		}
	}
}

func (c *circle) Tell(t sim.Told) { c.send(map[string]any{"tell": t}) }

func (c *circle) Hear() sim.Told {
	for {
		if len(c.heard) > 0 {
			t := c.heard[0]
			c.heard = c.heard[1:]
			return t
		}
		if p := c.next(); p.Told != nil {
			return *p.Told
		}
	}
}
