package cli

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"secondpass/engine/sim"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/work"
	"secondpass/work/workers"
)

// sender sends long work to the workers of --workers or of the configuration, if there are any.
type sender struct {
	g     *command.Globals
	mu    sync.Mutex
	asked bool
	to    *workers.Sender
}

// Runner is who does the runs of a job, or nil where no workers were named.
func (s *sender) Runner(j *work.Job) sim.Runner {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.asked {
		s.asked = true
		if url := s.g.WorkersURL(); url != "" {
			s.to = workers.NewSender(url, func(text string) { s.g.Remark("%s", text) })
		}
	}
	if s.to == nil {
		return nil
	}
	return s.to.Runner(j)
}

func (s *sender) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.to != nil {
		s.to.Close()
	}
}

type workCmd struct {
	Join    string `xor:"what" placeholder:"URL" help:"Do parts of the long work that others send to this PostgreSQL database, until Ctrl-C."`
	Slots   int    `placeholder:"N" help:"With --join: how many parts at once; without it one for each core."`
	List    string `xor:"what" placeholder:"URL" help:"Who has joined at this database, who sends, and what is under way."`
	Prepare string `xor:"what" placeholder:"URL" help:"Make the tables for work in this database, in a schema of their own; the first who sends does it too, if it may."`
	Role    string `placeholder:"NAME" help:"With --prepare: a role of the database that may then use these tables, and needs nothing else."`
}

// Help says how machines come together.
func (workCmd) Help() string {
	return "Where a work outgrows one machine, a PostgreSQL database brings several together: on each that is to help\n\n" +
		"  secondpass work --join postgres://worker@host/database\n\nand on the one that asks, --workers with the same address (or a line in the configuration) beside " +
		"experiment run, card report, card tune, card compose, drill find and match, or beside serve. The result has the same bytes as on one machine, whoever of them fails on the way. " +
		"The same program is to run everywhere: a worker plays a proof first, and gets work only from those who come to the same.\n\n" +
		"Passwords may stand in the file of passwords of PostgreSQL or in PGPASSWORD.\n\nThe page docs/workers.md says more."
}

func (c *workCmd) Answers() command.Answers { return command.One(workers.Standing{}) }

// Run joins, lists or prepares.
func (c *workCmd) Run(g *command.Globals) error {
	switch {
	case g.Given("slots") && (c.Join == "" || c.Slots < 1):
		return fmt.Errorf("--slots %d: a number from 1 up is right, beside --join", c.Slots)
	case c.Role != "" && c.Prepare == "":
		return fmt.Errorf("--role %s: right beside --prepare alone", c.Role)
	case c.Join != "":
		g.Serving = true
		return databaseError(workers.Joining{URL: c.Join, Slots: c.Slots, Told: func(text string) { g.Remark("%s", text) }}.Join(g.Context))
	case c.Prepare != "":
		if err := databaseError(workers.Prepare(g.Context, c.Prepare, c.Role)); err != nil {
			return err
		}
		g.Remark("the tables are there")
		return nil
	case c.List != "":
		return c.list(g)
	}
	return errors.New("what to do: --join URL, --list URL or --prepare URL is right, one of the three")
}

// databaseError tells addresses that cannot be from databases that fail.
func databaseError(err error) error {
	if wrong := (*workers.Address)(nil); err == nil || errors.As(err, &wrong) {
		return err
	}
	return command.Failed(err)
}

func (c *workCmd) list(g *command.Globals) error {
	now, err := workers.Look(g.Context, c.List)
	if err != nil {
		return databaseError(err)
	}
	if g.JSON {
		return g.Answer(now)
	}
	if len(now.Members) == 0 {
		g.Remark("Nobody is there. secondpass work --join URL on any machine makes a worker.")
	} else {
		t := command.NewTable(20, 36, 10)
		t.Row("host", "what", "seen", "program")
		for _, m := range now.Members {
			what := "sends"
			if m.Works {
				what = fmt.Sprintf("works, %s at once, %d done", wording.Plural(m.Slots, "part"), m.Parts)
			}
			t.Row(m.Host, what, m.Seen.Local().Format(time.TimeOnly), fmt.Sprintf("%s, build %s, proof %s", m.Program, m.Build, m.Proof))
		}
		t.Print(g.Stdout)
	}
	if len(now.Runs) == 0 {
		return nil
	}
	fmt.Fprintln(g.Stdout)
	t := command.NewTable(20, 14, 56)
	t.Row("under way", "begun", "how far")
	for _, r := range now.Runs {
		t.Row(r.Kind, r.Begun.Local().Format("2 Jan 15:04"), how(r))
	}
	t.Print(g.Stdout)
	return nil
}

// how is how a run stands, in words.
func how(r workers.Run) string {
	text := wording.WorkStanding(r.Done, r.Pieces, r.Rate, r.Left)
	if !r.Asked {
		text += "; stopped, and gone on with by whoever asks the same"
	}
	return text
}
