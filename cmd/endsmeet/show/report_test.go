package show

import (
	"errors"
	"testing"
)

func TestAnErrorOnAScreenIsASentenceAndWhatToType(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"there is no command \"nope\" (did you mean `endsmeet note`?)",
			"There is no command \"nope\".\n  Did you mean `endsmeet note`?"},
		{`"412" has no unit (write 412g; a weight is in mg or g)`,
			"\"412\" has no unit.\n  Write 412g; a weight is in mg or g."},
		{"Name the project. (Write endsmeet plan PROJECT)",
			"Name the project.\n  Write endsmeet plan PROJECT."},
		{"scale.step: more than nothing (such as 1g (or oz))",
			"scale.step: more than nothing.\n  Such as 1g (or oz)."},
		{"Y01 (a cone) is not weighed", "Y01 (a cone) is not weighed."},
		{"--rest is gone (endsmeet set Y01)", "--rest is gone.\n  endsmeet set Y01"},
	} {
		if got := ToRead(errors.New(c.text)); got != c.want {
			t.Errorf("%q is shown as %q, not %q", c.text, got, c.want)
		}
	}
}
