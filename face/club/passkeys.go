package club

import (
	"crypto/rand"
	"encoding/base64"
	"encoding/json"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"secondpass/club"
)

// record is a passkey as it is kept: with the handle by which the device knows the account, which says nothing of its owner.
type record struct {
	Handle     []byte              `json:"handle"`
	Credential webauthn.Credential `json:"credential"`
}

// nameOf is what a passkey is called.
func nameOf(id []byte) string { return base64.RawURLEncoding.EncodeToString(id) }

func recordOf(handle []byte, c *webauthn.Credential) ([]byte, error) {
	return json.Marshal(record{handle, *c})
}

// handleOf is the handle of a passkey that a browser has used.
func handleOf(k club.Passkey) []byte {
	var r record
	if json.Unmarshal(k.Credential, &r) != nil {
		return nil
	}
	return r.Handle
}

// user is a person as the browser's devices know one.
type user struct {
	handle []byte
	name   string
	keys   []webauthn.Credential
}

func (u *user) WebAuthnID() []byte                         { return u.handle }
func (u *user) WebAuthnName() string                       { return u.name }
func (u *user) WebAuthnDisplayName() string                { return u.name }
func (u *user) WebAuthnCredentials() []webauthn.Credential { return u.keys }

// userOf is who has passkeys: all of a person's have one handle.
func userOf(keys []club.Passkey) (*user, error) {
	u := &user{}
	for _, k := range keys {
		var r record
		if err := json.Unmarshal(k.Credential, &r); err != nil {
			return nil, err
		}
		u.handle, u.keys = r.Handle, append(u.keys, r.Credential)
	}
	return u, nil
}

// beginMaking asks a browser for a new passkey of somebody with those that are there.
func (f *Front) beginMaking(what, name string, there []club.Passkey) (any, error) {
	u, err := userOf(there)
	if err != nil {
		return nil, err
	}
	u.name = name
	if u.handle == nil {
		u.handle = make([]byte, 32)
		if _, err := rand.Read(u.handle); err != nil {
			return nil, err
		}
	}
	options, session, err := f.keys.BeginRegistration(u, webauthn.WithExclusions(webauthn.Credentials(u.keys).CredentialDescriptors()))
	if err != nil {
		return nil, err
	}
	return f.ask(asked{For: what, Name: name, Session: *session}, options)
}

// made checks the passkey that a browser has made.
func (f *Front) made(a answer, q asked) (k club.Passkey, err error) {
	parsed, err := protocol.ParseCredentialCreationResponseBytes(a.Credential)
	if err != nil {
		return k, errUnread
	}
	c, err := f.keys.CreateCredential(&user{handle: q.Session.UserID, name: q.Name}, q.Session, parsed)
	if err != nil {
		return k, errNotTaken
	}
	k = club.Passkey{ID: nameOf(c.ID), Name: a.Name}
	k.Credential, err = recordOf(q.Session.UserID, c)
	return k, err
}
