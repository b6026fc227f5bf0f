package workers

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"runtime/debug"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// member is one that sends work or does it.
type member struct {
	id, host string
	works    bool
	computes
	slots int
	parts int64
}

// computes is what has to be alike of who asks and who works.
type computes struct {
	// program is the version, build the commit, proof what came out of some deals.
	program, build, proof string
}

func (c computes) String() string {
	return fmt.Sprintf("%s, build %s, proof %s", c.program, c.build, c.proof)
}

// queue is the name of the queue of all that compute alike.
func (c computes) queue() string { return "b" + digest([]byte(c.String())) }

// digest stands for bytes: 64 bits of their SHA-256.
func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:8])
}

// proofText is the experiment of the proof: two kinds of players, whole games, measures of passing and play.
const proofText = `experiment "Proof"
measure win
claim more by 1 %
also points ; more by 1
also options ; more by 1
way "strong" strong
way "by thumb" thumb+joker-bait
`

// prove plays a shard of the proof on the practice card.
func prove(ctx context.Context) (string, error) {
	x, c, err := experiment.Read("proof", []byte(proofText), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		return "", err
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(x, c, tuning, 1, sim.ShardGames, "")
	if err == nil {
		err = r.Run(sim.WithRunner(ctx, sim.Alone{}), nil)
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return "", err
	}
	return digest(r.Bytes()), nil
}

// proven keeps the proof: it does not change while a program runs.
var proven struct {
	sync.Mutex
	proof string
}

// own is what this program computes like.
func own(ctx context.Context) (c computes, err error) {
	proven.Lock()
	defer proven.Unlock()
	if proven.proof == "" {
		if proven.proof, err = prove(ctx); err != nil {
			return c, err
		}
	}
	return computes{store.Program(), build(), proven.proof}, nil
}

// build is the commit of the program's sources, as far as the compiler was told.
func build() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	var revision bytes.Buffer
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision.WriteString(s.Value[:min(len(s.Value), 12)])
		case s.Key == "vcs.modified" && s.Value == "true":
			revision.WriteString(", changed since")
		}
	}
	if revision.Len() == 0 {
		return "unknown"
	}
	return revision.String()
}

// newMember is this process.
func newMember(ctx context.Context, works bool, slots int) (*member, error) {
	c, err := own(ctx)
	if err != nil {
		return nil, err
	}
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return &member{id: uuid.NewString(), host: host, works: works, computes: c, slots: slots}, nil
}

// seen says that a member is there.
func (m *member) seen(ctx context.Context, pool *pgxpool.Pool) error {
	_, err := pool.Exec(ctx, `INSERT INTO secondpass_work.member VALUES ($1,$2,$3,$4,$5,$6,$7,$8,now()) ON CONFLICT (id) DO UPDATE SET parts = $8, seen = now()`,
		m.id, m.works, m.host, m.program, m.build, m.proof, m.slots, m.parts)
	return err
}

// leave takes a member out of the list.
func (m *member) leave(pool *pgxpool.Pool) {
	ctx, cancel := context.WithTimeout(context.Background(), seenEvery)
	defer cancel()
	_, _ = pool.Exec(ctx, "DELETE FROM secondpass_work.member WHERE id = $1", m.id) // one who is not seen any more is gone too
}

// Member is one that sends work or does it, as others see it.
type Member struct {
	Host string `json:"host"`
	// Works says that it does parts; else it sends them.
	Works   bool   `json:"works"`
	Program string `json:"program"`
	Build   string `json:"build"`
	Proof   string `json:"proof"`
	// Slots is how many parts it does at once, Parts how many it has done.
	Slots int   `json:"slots"`
	Parts int64 `json:"parts"`
	// Seen is when it was there last.
	Seen time.Time `json:"seen"`
}

// members are those who are there.
func members(ctx context.Context, pool *pgxpool.Pool) ([]Member, error) {
	rows, err := pool.Query(ctx, `SELECT host, works, program, build, proof, slots, parts, seen FROM secondpass_work.member WHERE seen > now() - $1::interval ORDER BY works, host, id`, gone)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := []Member{}
	for rows.Next() {
		var m Member
		if err := rows.Scan(&m.Host, &m.Works, &m.Program, &m.Build, &m.Proof, &m.Slots, &m.Parts, &m.Seen); err != nil {
			return nil, err
		}
		all = append(all, m)
	}
	return all, rows.Err()
}

func (m *Member) computes() computes { return computes{m.Program, m.Build, m.Proof} }
