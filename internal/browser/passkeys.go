package browser

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/security"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
)

// OpenTrusting is Open for a server whose certificate nobody has signed, with a device of passkeys that does what it is asked.
func OpenTrusting(t testing.TB, look Look, url string) *Page {
	t.Helper()
	p := Open(t, look, "about:blank")
	p.do("a device of passkeys", chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, security.SetIgnoreCertificateErrors, security.SetIgnoreCertificateErrorsParams{Ignore: true}); err != nil {
			return err
		}
		if _, err := chromedp.Call(ctx, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return err
		}
		return nil
	}))
	p.NewDevice()
	p.Go(url)
	return p
}

// NewDevice puts a new device of passkeys in place of those before.
func (p *Page) NewDevice() {
	p.t.Helper()
	p.do("another device of passkeys", chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, webauthn.Disable, cdp.Empty{}); err != nil {
			return err
		}
		if _, err := chromedp.Call(ctx, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
			Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal, HasResidentKey: true, HasUserVerification: true,
			IsUserVerified: true, AutomaticPresenceSimulation: true}})
		return err
	}))
}
