package store

import (
	"fmt"
	"strings"
	"time"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/research/cardreport"
	"secondpass/research/experiment"
	"secondpass/rules/card"
)

// Files is what stands in files of its own. The command line and the pages share it.
type Files struct {
	Cards   Cards
	Tunings Tunings
	Results Results
	Reports Reports
	Jobs    Jobs
	// Shelf is what games have shown of tables, which can be played again any time; nil where that is not kept.
	Shelf advice.Shelf
	// Games is the whole games that decisions were judged by, by decision.
	Games advice.Shelf
}

// Endings of files.
const (
	CardExt   = ".card"
	ResultExt = ".json" // of a result of an experiment
)

// Cards is the user's own cards, by name. Errors wrap os.ErrNotExist where there is none of the name.
type Cards interface {
	// List is the names of the cards, in alphabetical order.
	List() ([]string, error)
	// Text is the text of a card, Draft the text with errors that was left last beside the last text without.
	Text(name string) ([]byte, error)
	Draft(name string) (text []byte, ok bool)
	// Revision names what stands under a name now, text and draft: it is another whenever one of them is, whoever has
	// changed it. "" is no card.
	Revision(name string) string
	// Keep keeps a text, or the one that is there where it is nil, with a draft, or none where that is empty. It returns
	// the new revision, or ErrCardChanged where what is there is not what was seen.
	Keep(name, seen string, text, draft []byte) (revision string, err error)
	// KeepApart is Keep, and leaves what was kept last in the history however little it differs.
	KeepApart(name, seen string, text, draft []byte) (revision string, err error)
	// History is the texts that were kept of a card, drafts too, the last first, which is as a rule what is there now. What is
	// typed on within a minute takes the place of the last, and old ones are thinned out. HistoryText is one of them.
	History(name string) ([]CardText, error)
	HistoryText(name string, number int) ([]byte, error)
	// Delete puts a card away, with its draft; Restore brings the one deleted last back, or returns ErrNameTaken when
	// another has got its name meanwhile.
	Delete(name string) error
	Restore(name string) error
	// Where tells people where a card is kept, or with no name where they all are.
	Where(name string) string
}

// CardText is a text in the history of a card, by its number; the greater, the later.
type CardText struct {
	Number int
	Kept   time.Time
}

// Tunings are what strong players go by, by the hands of the card.
type Tunings interface {
	// Tuning is the user's own tuning of a card, the one built in, or general values.
	Tuning(c *card.Card) (player.Tuning, error)
	// SaveTuning keeps a tuning in place of what was there, and tells people where.
	SaveTuning(t player.Tuning) (where string, err error)
}

// Results is the results of experiments, by name. Errors wrap os.ErrNotExist where there is none of the name.
type Results interface {
	// List is the results, the last changed first.
	List() ([]ResultEntry, error)
	// Read is a result as it was last kept, Write keeps one in place of what was there.
	Read(name string) (*experiment.Result, error)
	Write(name string, r *experiment.Result) error
	// FreeName is a name for a new result that no result has, made of that of its experiment and the seed.
	FreeName(experiment string, seed uint64) string
	// Delete puts a result away; Restore brings it back, or returns ErrNameTaken when another has got its name meanwhile.
	Delete(name string) error
	Restore(name string) error
	// Where tells people where a result is kept, or with no name where they all are.
	Where(name string) string
}

// ResultEntry is one result in the list.
type ResultEntry struct {
	Name    string
	Changed time.Time
	Size    int64 // bytes
}

// Reports is the counts of card reports, by [cardreport.Settings.Key].
type Reports interface {
	// Counts is what was last kept, or nil where nothing is, or only counts of another version.
	Counts(key string) (*cardreport.Counts, error)
	// SaveCounts keeps counts in place of what was there.
	SaveCounts(key string, c *cardreport.Counts) error
	// Changed is when counts were last kept, zero where none are.
	Changed(key string) (time.Time, error)
}

// Jobs is work that was stopped before it came to an end, by a key that stands for all it depends on.
type Jobs interface {
	// Job is what was kept of one, or nil where nothing was.
	Job(key string) ([]byte, error)
	// KeepJob keeps a job in place of what was there; DropJob removes it, once it has come to its end.
	KeepJob(key string, data []byte) error
	DropJob(key string) error
}

// ReadyFolder is what stands, with a slash, before the names of results of ready-made experiments that are kept together.
const ReadyFolder = "ready"

// CheckCardName says why a name cannot be that of a card file, or nil.
func CheckCardName(name string) error {
	switch {
	case strings.TrimSpace(name) != name || name == "":
		return fmt.Errorf("card name %q: a name without blanks at its ends is right", name)
	case len(name) > 80:
		return fmt.Errorf("a card name of %d bytes is too long; 80 are the most", len(name))
	case strings.ContainsAny(name, `/\:*?"<>|`) || strings.HasPrefix(name, ".") || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return fmt.Errorf(`card name %q: it becomes a file name, so it cannot begin with a dot nor hold any of / \ : * ? " < > |`, name)
	case strings.EqualFold(name, card.Practice().Name):
		return fmt.Errorf("card name %q: the practice card has it; give yours another", name)
	}
	return nil
}

// CheckResultName says why a name cannot be that of a result file, or nil.
func CheckResultName(name string) error {
	bare := strings.TrimPrefix(name, ReadyFolder+"/")
	switch {
	case bare == "" || strings.TrimSpace(bare) != bare:
		return fmt.Errorf("result name %q: a name without blanks at its ends is right", name)
	case len(bare) > 120:
		return fmt.Errorf("a result name of %d bytes is too long; 120 are the most", len(bare))
	case strings.ContainsAny(bare, `/\:*?"<>|`) || strings.HasPrefix(bare, ".") || strings.ContainsFunc(bare, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return fmt.Errorf(`result name %q: it is a file name, so it cannot begin with a dot nor hold any of / \ : * ? " < > |`, name)
	}
	return nil
}
