package exercise

import "testing"

// A browser takes the path segments "." and ".." away before it asks (RFC 3986, 5.2.4), written with %2E too.
func TestNamesThatNoAddressHolds(t *testing.T) {
	for _, name := range []string{".", ".."} {
		if CheckName(name) == nil {
			t.Errorf("%q is taken for a name", name)
		}
	}
	for _, name := range []string{"...", ".a", "Wd. 2", "a/b"} {
		if err := CheckName(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
}
