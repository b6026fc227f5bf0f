package work

import (
	"context"
	"encoding/json"
	"errors"

	"secondpass/engine/player"
	"secondpass/research/cardreport"
	"secondpass/rules/house"
)

// CardReport counts what a card is like. Its result is a [cardreport.Tally].
type CardReport struct {
	Card   CardText      `json:"card"`
	House  house.House   `json:"house"`
	Tuning player.Tuning `json:"tuning"`
	Seed   uint64        `json:"seed"`
	// Hands, Deals, Games and Aimed are those of [cardreport.Settings].
	Hands []int `json:"hands,omitempty"`
	Deals int   `json:"deals"`
	Games int   `json:"games"`
	Aimed int   `json:"aimed"`
	// Tally is what was counted before; nil is nothing.
	Tally *cardreport.Tally `json:"tally,omitempty"`
}

// Kind is KindCardReport.
func (*CardReport) Kind() Kind { return KindCardReport }

// Survey prepares the counting, and makes a report of a tally.
func (r *CardReport) Survey() (*cardreport.Survey, error) {
	c, err := r.Card.under(r.House)
	if err != nil {
		return nil, err
	}
	return cardreport.New(cardreport.Settings{Card: c, Tuning: r.Tuning, House: r.House, Seed: r.Seed, Hands: r.Hands, Deals: r.Deals, Games: r.Games, Aimed: r.Aimed})
}

// Do counts what is left.
func (r *CardReport) Do(ctx context.Context, tell Tell) (any, error) {
	survey, err := r.Survey()
	if err != nil {
		return nil, err
	}
	t, err := r.begun()
	if err != nil {
		return nil, err
	}
	err = survey.Run(ctx, t, func(stage cardreport.Stage, done, of int) { tell(Progress{string(stage), done, of, t}) })
	if errors.Is(err, cardreport.ErrStopped) {
		err = nil
	}
	return t, err
}

// begun is a copy of what was counted before.
func (r *CardReport) begun() (*cardreport.Tally, error) {
	t := &cardreport.Tally{}
	if r.Tally == nil {
		return t, nil
	}
	data, err := json.Marshal(r.Tally)
	if err == nil {
		err = json.Unmarshal(data, t)
	}
	return t, err
}
