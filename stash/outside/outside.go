// Package outside finds what tests compare with and a machine may lack: programs of
// others, devices, rights. Only tests import it.
package outside

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Program finds a program by the first of its names that is here; without it the test
// goes without.
func Program(t testing.TB, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	GoWithout(t, "%s is not here", strings.Join(names, " or "))
	return ""
}

// Required says whether whatever tests compare with must be here, as it must for
// .ci/run: ENDSMEET_REQUIRE_REFERENCES is 1.
func Required() bool { return os.Getenv("ENDSMEET_REQUIRE_REFERENCES") == "1" }

// GoWithout skips a test for want of something, and fails it where everything must be
// here.
func GoWithout(t testing.TB, format string, args ...any) {
	t.Helper()
	if Required() {
		t.Fatalf(format, args...)
	}
	t.Skipf(format, args...)
}
