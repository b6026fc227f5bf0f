package desk

import (
	"context"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// Budgets of a judgement where nobody names one: short games for a first piece of advice, and for each decision of a review
// and of a student's record.
const (
	AdviceGames = 8000
	ReviewGames = 1000
)

// Judge says how a judgement is asked for where it is not to be as usual.
type Judge struct {
	// Players sit at the other seats; "" is the exercise's own players, else the usual ones.
	Players string
	// Seed draws the games; nil is the exercise's own.
	Seed *uint64
	// Waits, which may be nil, is called where a card and players are judged for the first time, before games are played that show how
	// the card goes with them: for a second or two, and for decisions in play for some ten.
	Waits func(context.Context)
}

// Basis is what a judgement rests on, beside the card and the tuning.
type Basis struct {
	Seed  uint64
	House house.House
}

func basisOf(c *advice.Counsel) Basis { return Basis{c.Seed, c.Game.House()} }

// seedOf is the seed of every judgement of an exercise where nobody names one. It is the same for all routes and steps: routes
// that share their beginning are judged alike there, and differences between them are taken on common random numbers
// (docs/judgement.md).
func seedOf(e *exercise.Exercise) uint64 { return e.Seed }

// Counsel judges decisions of an exercise, by the user's tuning of its card.
func (d *Desk) Counsel(e *exercise.Exercise, by Judge) (*advice.Counsel, error) {
	players, seed := exercise.DefaultPlayers, seedOf(e)
	if e.Incoming == exercise.TablePasses && e.Players != "" {
		players = e.Players
	}
	if by.Players != "" {
		players = by.Players
	}
	if by.Seed != nil {
		seed = *by.Seed
	}
	return d.counsel(e.Card, e.House, Judge{players, &seed, by.Waits})
}

// counsel judges by players and a seed that are named.
func (d *Desk) counsel(c *card.Card, rules house.House, by Judge) (*advice.Counsel, error) {
	tuning, err := d.Tuning(c)
	if err != nil {
		return nil, err
	}
	counsel, err := advice.NewCounsel(c, rules, tuning, by.Players, *by.Seed)
	if err == nil {
		counsel.Shelf, counsel.Games, counsel.Waits = d.Files.Shelf, d.Files.Games, by.Waits
	}
	return counsel, err
}

// Question is a decision that is to be judged.
type Question struct {
	// Exercise is what it belongs to; nil for a rack by itself, which has a card and house rules, and for which By names all.
	Exercise *exercise.Exercise
	Card     *card.Card
	House    house.House
	By       Judge
	// View is what the seat that decides sees of the passing. Game is the play; nil before it.
	View charleston.View
	Game *exercise.Game
	// Named are decisions of the passing that are judged to the end whatever becomes of them.
	Named []charleston.Action
	// Plans asks which section to steer for, in place of what to pass.
	Plans  bool
	Budget advice.Budget
}

// Answer is what playing on makes of a question.
type Answer struct {
	// Advice is on a decision of the passing, Verdict on plans and on a decision in play; the other is nil.
	Advice  *advice.Advice
	Verdict *advice.Verdict
	Basis
}

// Advise judges a decision until its budget is used up or ctx ends. told, which may be nil, is told better and better answers.
func (d *Desk) Advise(ctx context.Context, q Question, told func(Answer)) (Answer, error) {
	counsel, err := d.asked(&q)
	if err != nil {
		return Answer{}, err
	}
	on := basisOf(counsel)
	var toldAdvice func(advice.Advice)
	var toldVerdict func(advice.Verdict)
	if told != nil {
		toldAdvice = func(a advice.Advice) { told(Answer{Advice: &a, Basis: on}) }
		toldVerdict = func(v advice.Verdict) { told(Answer{Verdict: &v, Basis: on}) }
	}
	var verdict advice.Verdict
	switch {
	case q.Game != nil:
		state := q.Game.State()
		verdict, err = counsel.AdvisePlay(ctx, &state, q.Game.View().Seat(), q.Budget, toldVerdict)
	case q.Plans:
		verdict, err = counsel.AdviseAims(ctx, q.View, q.Budget, toldVerdict)
	default:
		a, err := counsel.Advise(ctx, q.View, q.Named, q.Budget, toldAdvice)
		return Answer{Advice: &a, Basis: on}, err
	}
	return Answer{Verdict: &verdict, Basis: on}, err
}

// asked is the counsel for a question.
func (d *Desk) asked(q *Question) (*advice.Counsel, error) {
	if q.Exercise != nil {
		return d.Counsel(q.Exercise, q.By)
	}
	return d.counsel(q.Card, q.House, q.By)
}

// Reviewed is a review and what it rests on.
type Reviewed struct {
	*advice.Review
	Basis
}

// Review judges every decision of a route. told, which may be nil, is told how many of them are judged. Where ctx ends it
// returns those with an error.
func (d *Desk) Review(ctx context.Context, e *exercise.Exercise, r *exercise.Route, by Judge, budget advice.Budget, told func(done, of int)) (Reviewed, error) {
	counsel, err := d.Counsel(e, by)
	if err != nil {
		return Reviewed{}, err
	}
	rev, err := counsel.Review(ctx, e, r, budget, told)
	return Reviewed{rev, basisOf(counsel)}, err
}

// RecallReview is the review of a route by the games that are kept, as far as they go, at once: nothing is played.
func (d *Desk) RecallReview(e *exercise.Exercise, r *exercise.Route, by Judge) (advice.Recalled, error) {
	counsel, err := d.Counsel(e, by)
	if err != nil {
		return advice.Recalled{}, err
	}
	return counsel.RecallReview(e, r)
}

// AnswerRoutes reviews the passing of every route of an exercise, for an answer sheet. told, which may be nil, is told which
// route is begun.
func (d *Desk) AnswerRoutes(ctx context.Context, e *exercise.Exercise, games int, told func(route string)) (map[string]*advice.Review, error) {
	reviews := map[string]*advice.Review{}
	for _, r := range e.Routes {
		if len(r.Decisions) == 0 {
			continue
		}
		if told != nil {
			told(r.Name)
		}
		passing := r.Upto(len(r.Decisions))
		rev, err := d.Review(ctx, e, &passing, Judge{}, advice.Budget{Games: games}, nil)
		if err != nil {
			return nil, err
		}
		reviews[r.Name] = rev.Review
	}
	return reviews, nil
}

// Outlook prepares whole games from the end of each route's passing; how they go on is for who asked. Routes that have not
// come there are an error.
func (d *Desk) Outlook(e *exercise.Exercise, routes []*exercise.Route, by Judge) (*advice.OutlookRun, Basis, error) {
	counsel, err := d.Counsel(e, by)
	if err != nil {
		return nil, Basis{}, err
	}
	run, err := counsel.NewOutlookRun(e, routes)
	return run, basisOf(counsel), err
}

// Record keeps what a review says of a student's decisions, and how the passing ended if it did. It returns how many decisions
// were kept.
func (d *Desk) Record(student string, x *store.Saved, r *exercise.Route, rev *advice.Review) (kept int, err error) {
	now := d.Store.Now()
	tries := drill.Reviewed(rev, x.Exercise.Name, r.Name, now, nil)
	racks, err := racksOf(x.Exercise, r, rev)
	if err != nil {
		return 0, err
	}
	for i := range tries {
		tries[i].Themes = drill.ThemesOfRack(x.Card, racks[i])
	}
	ended, over, err := drill.Ended(x.Exercise, r, now)
	if err != nil {
		return 0, err
	}
	if !over {
		return len(tries), d.Store.AddExercise(student, tries, nil)
	}
	return len(tries), d.Store.AddExercise(student, tries, &ended)
}

// racksOf are the concealed tiles before each decision of a review, in its order.
func racksOf(e *exercise.Exercise, r *exercise.Route, rev *advice.Review) ([]tile.Rack, error) {
	var racks []tile.Rack
	trail, err := e.Replay(r)
	if err != nil {
		return nil, err
	}
	for i := range rev.Entries {
		racks = append(racks, trail.Snapshots[i].Before)
	}
	for i := range rev.Play {
		before := r.Upto(rev.Play[i].Number)
		if trail, err = e.Replay(&before); err != nil {
			return nil, err
		}
		state := trail.Game.State()
		racks = append(racks, state.Rack(e.Seat))
	}
	return racks, nil
}
