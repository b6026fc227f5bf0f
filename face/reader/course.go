package reader

import (
	"context"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// Course is all that a page is about: an exercise, or what a lesson has, in its order.
type Course struct {
	name, note string
	// listed says that it is a lesson, which has a list of what is in it.
	listed    bool
	items     []item
	templates *template.Template
}

// item is an exercise or a drill; one of book and drill is set.
type item struct {
	note  string
	book  *Book
	drill *Drilling
}

// Open opens the content of a page, as [Content] is in JSON. before is what [Course.Kept] gave earlier, empty for nothing: what
// cannot be read of it, or is of another exercise, is let go.
func Open(content, before []byte) (*Course, error) {
	c, err := read(content)
	if err != nil {
		return nil, err
	}
	templates, err := templatesOf()
	if err != nil {
		return nil, err
	}
	course := &Course{templates: templates}
	if c.Lesson != "" {
		return course, course.openLesson(c, before)
	}
	given, err := exercise.Read(strings.NewReader(c.Exercise))
	if err != nil {
		return nil, err
	}
	book := newBook(c, templates, 1, given, given.Fresh())
	course.name, course.items = given.Name, []item{{book: book}}
	return course, book.begin(before)
}

func newBook(c *Content, templates *template.Template, number int, given, start *exercise.Exercise) *Book {
	return &Book{number: int64(number), show: c.Show, tuning: c.tuning(given.Card), shelf: c.Shelf, given: given, start: start, templates: templates}
}

// keptLesson is what a browser keeps of a lesson, by the numbers of the items.
type keptLesson struct {
	Items map[int]json.RawMessage `json:"items"`
	Over  bool                    `json:"over,omitempty"`
}

func (c *Course) openLesson(content *Content, before []byte) error {
	l, err := lesson.Read(strings.NewReader(content.Lesson))
	if err != nil {
		return err
	}
	c.name, c.note, c.listed = l.Title, l.Note, true
	var k keptLesson
	if json.Unmarshal(before, &k) != nil {
		k.Items = nil
	}
	for i := range l.Items {
		it, n := &l.Items[i], i+1
		if it.Drill != nil {
			d := newDrilling(content, c.templates, n, it.Drill, it.Card)
			d.goOn(k.Items[n])
			c.items = append(c.items, item{note: it.Note, drill: d})
			continue
		}
		start, err := asked(it)
		if err != nil {
			return err
		}
		book := newBook(content, c.templates, n, it.Exercise, start)
		if err := book.begin(k.Items[n]); err != nil {
			return err
		}
		c.items = append(c.items, item{note: it.Note, book: book})
	}
	return nil
}

// asked is the exercise of an item with one route, walked to the moment that the lesson asks about.
func asked(i *lesson.Item) (*exercise.Exercise, error) {
	r, err := i.Exercise.Route(i.Route)
	if err != nil {
		return nil, err
	}
	start := i.Exercise.Fresh()
	for _, d := range r.Decisions[:i.At] {
		if _, err := start.Do(start.Routes[0].Name, exercise.Decision{Own: d.Own, Count: d.Count, Stop: d.Stop}); err != nil {
			return nil, err
		}
	}
	return start, nil
}

// Name is what the exercise or the lesson is called; Listed says whether there is a list of what is in it.
func (c *Course) Name() string { return c.name }
func (c *Course) Listed() bool { return c.listed }

// Start is where a reader begins, or goes on.
func (c *Course) Start() string {
	if c.listed {
		return listPath
	}
	return c.items[0].book.Start()
}

// Kept is what a browser keeps for its reader, to be given to [Open] again.
func (c *Course) Kept() ([]byte, error) {
	if !c.listed {
		return c.items[0].book.Kept()
	}
	k := keptLesson{Items: map[int]json.RawMessage{}, Over: true}
	for i := range c.items {
		data, err := c.items[i].kept()
		if err != nil {
			return nil, err
		}
		k.Over = k.Over && c.items[i].over()
		if data != nil {
			k.Items[i+1] = data
		}
	}
	return json.Marshal(k)
}

func (i *item) kept() ([]byte, error) {
	if i.book != nil {
		return i.book.Kept()
	}
	return i.drill.kept()
}

func (i *item) over() bool {
	if i.book != nil {
		return i.book.passed()
	}
	return i.drill.answer != nil
}

// listPath is the address of the list, carryPath that of the codes with which a reader goes on elsewhere, backPath that of the file of
// answers for the teacher.
const (
	listPath  = "/exercises/"
	carryPath = "/exercises/carry"
	backPath  = "/exercises/answers"
)

// Ask answers a link or, where post is true, a form. address is a path of this workbook with its query; form the fields of a form.
func (c *Course) Ask(post bool, address string, form url.Values) Answer {
	a, err := c.ask(post, address, form)
	if err == nil {
		return a
	}
	html, broken := fill(c.templates, "not-done", struct{ Says, Back string }{wording.Capital(err.Error()) + ".", c.Start()})
	if broken != nil {
		html = ""
	}
	return Answer{Path: address, Title: "Not done", HTML: html}
}

func (c *Course) ask(post bool, address string, form url.Values) (Answer, error) {
	at, err := url.Parse(address)
	if err != nil {
		return Answer{}, errNowhere
	}
	parts := strings.Split(strings.Trim(at.Path, "/"), "/")
	if parts[0] != "exercises" {
		return Answer{}, errNowhere
	}
	switch {
	case len(parts) == 1 && c.listed:
		return c.list("")
	case len(parts) == 2 && parts[1] == "carry":
		return c.carry(post, form)
	case len(parts) == 2 && parts[1] == "answers" && post:
		return c.answersFile(strings.TrimSpace(form.Get("student")))
	case len(parts) == 2 && parts[1] == "afresh" && post:
		return c.afresh()
	case len(parts) < 2:
		return Answer{}, errNowhere
	}
	it, err := c.item(parts[1])
	if err != nil {
		return Answer{}, err
	}
	var a Answer
	if it.drill != nil {
		a, err = it.drill.ask(post, at.Query(), form)
	} else {
		a, err = it.book.ask(post, parts[2:], at.Query(), form)
	}
	if err == nil && c.listed && a.File == nil {
		a.HTML, err = c.within(a.HTML, parts[1], it)
	}
	return a, err
}

// afresh lets all that the reader did go.
func (c *Course) afresh() (Answer, error) {
	for i := range c.items {
		if d := c.items[i].drill; d != nil {
			d.answer, d.asked = nil, ""
		} else if err := c.items[i].book.begin(nil); err != nil {
			return Answer{}, err
		}
	}
	return changed(c.ask(false, c.Start(), nil))
}

// item is the item of a number as an address has it.
func (c *Course) item(number string) (*item, error) {
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > len(c.items) {
		return nil, errNowhere
	}
	return &c.items[n-1], nil
}

// within puts what the teacher notes above an item's page, and the way to the next below it.
func (c *Course) within(html, number string, it *item) (string, error) {
	n, _ := strconv.Atoi(number)
	next := ""
	if n < len(c.items) {
		next = fmt.Sprintf("/exercises/%d", n+1)
		if c.items[n].book != nil {
			next += "/here"
		}
	}
	head, err := fill(c.templates, "lesson-head", struct {
		Note      string
		Number, N int
	}{it.note, n, len(c.items)})
	if err != nil {
		return html, err
	}
	foot, err := fill(c.templates, "lesson-foot", next)
	return head + html + foot, err
}

// listedItem is an item of the list, and how far the reader has come with it.
type listedItem struct {
	Number                   int
	Path, What, Name, Stands string
}

func (c *Course) list(refusal string) (Answer, error) {
	p := struct {
		Name, Note          string
		Items               []listedItem
		Done, Drills, Right int
		Lost                string
		Refusal, Back       string
	}{Name: c.name, Note: c.note, Back: backPath, Refusal: refusal}
	lost := 0.
	for i := range c.items {
		it := &c.items[i]
		one := listedItem{Number: i + 1, Path: fmt.Sprintf("/exercises/%d", i+1)}
		if it.book != nil {
			one.Path += "/here"
			one.What, one.Name, one.Stands = "Exercise", it.book.x.Name, it.book.stand()
		} else {
			one.What, one.Name, one.Stands = "Drill", wording.DrillQuestion(it.drill.drill), it.drill.stand()
			if a := it.drill.answer; a != nil {
				p.Drills++
				lost += max(0, math.Round(1000*float64(a.Cost.Value))/10) // to a tenth, as it is shown
				if a.Right {
					p.Right++
				}
			}
		}
		if it.over() {
			p.Done++
		}
		p.Items = append(p.Items, one)
	}
	p.Lost = fmt.Sprintf("%.1f", lost)
	html, err := fill(c.templates, "lesson-list", p)
	return Answer{Path: listPath, Title: c.name, HTML: html, OK: refusal == ""}, err
}

// stand says how far the reader has come with an exercise.
func (b *Book) stand() string {
	switch {
	case b.passed():
		return "passed"
	case len(b.last().Decisions) > len(b.start.Routes[0].Decisions):
		return "begun"
	}
	return ""
}

// Judge plays the judgement of what is at an address, as [Answer.Judge] asks for it, and tells how far it has come; told may be nil.
// It changes nothing but the copy of the course that it is called on.
func (c *Course) Judge(ctx context.Context, address string, games int, told func(Judged)) error {
	at, err := url.Parse(address)
	if err != nil {
		return errNowhere
	}
	parts := strings.Split(strings.Trim(at.Path, "/"), "/")
	if len(parts) < 2 {
		return errNowhere
	}
	it, err := c.item(parts[1])
	if err != nil {
		return err
	}
	keep := func(j Judged, changed bool) {
		if changed {
			if data, err := c.Kept(); err == nil {
				j.Book = string(data)
			}
		}
		if told != nil {
			told(j)
		}
	}
	if it.drill != nil {
		return it.drill.judge(ctx, at.Query(), keep)
	}
	return it.book.judge(ctx, parts[2:], at.Query(), games, keep)
}

// Take takes over what a judgement in a copy of the course has noted, see [Judged.Book], as far as routes still go that way.
func (c *Course) Take(judged []byte) {
	if !c.listed {
		c.items[0].book.take(judged)
		return
	}
	var k keptLesson
	if json.Unmarshal(judged, &k) != nil {
		return
	}
	for n, data := range k.Items {
		it, err := c.item(strconv.Itoa(n))
		if err != nil {
			continue
		}
		if it.book != nil {
			it.book.take(data)
		} else if it.drill.answer == nil {
			it.drill.goOn(data)
		}
	}
}

// drills are those of the course, with their places among the items.
func (c *Course) drills() (all []*drill.Drill, at []int) {
	for i := range c.items {
		if d := c.items[i].drill; d != nil {
			all, at = append(all, d.drill), append(at, i)
		}
	}
	return all, at
}
