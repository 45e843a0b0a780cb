package format

import (
	"crypto/rand"
	"crypto/sha256"
	"strings"

	"endsmeet/stash"
)

// codeBytes are drawn for a code: 32 characters. Four more guard against a
// slip in typing, so a code is nine groups of four.
const (
	codeBytes = 20
	codeChars = 36
	codeGroup = 4
)

// NewCode draws a code of 160 random bits.
func NewCode() string {
	raw := make([]byte, codeBytes)
	_, _ = rand.Read(raw) // never fails (crypto/rand)
	return group(stash.Base32.EncodeToString(raw) + codeCheck(stash.Base32.EncodeToString(raw)))
}

// codeCheck is four characters that follow from the others.
func codeCheck(body string) string {
	sum := sha256.Sum256([]byte("endsmeet code 1\n" + body))
	return stash.Base32.EncodeToString(sum[:])[:codeGroup]
}

func group(text string) string {
	var parts []string
	for ; text != ""; text = text[codeGroup:] {
		parts = append(parts, text[:codeGroup])
	}
	return strings.Join(parts, "-")
}

// SecretOf reads what a person typed: a code in its one form, however it was
// grouped, or the text as it is, which is a pass-phrase. A code with a slip in
// it looks like one and does not add up; it is refused.
func SecretOf(typed string) (secret string, code bool, err error) {
	bare := strings.Map(func(r rune) rune {
		switch {
		case r == '-' || r == ' ':
			return -1
		case r == '0':
			return 'o'
		case r == '1':
			return 'l'
		case r == '8':
			return 'b'
		}
		return r
	}, strings.ToLower(strings.TrimSpace(typed)))
	if len(bare) != codeChars || strings.Trim(bare, "abcdefghijklmnopqrstuvwxyz234567") != "" {
		return typed, false, nil
	}
	if codeCheck(bare[:codeChars-codeGroup]) == bare[codeChars-codeGroup:] {
		return group(bare), true, nil
	}
	if strings.Count(strings.TrimSpace(typed), "-") == codeChars/codeGroup-1 {
		return "", true, stash.Refuse(stash.CodeInput,
			"compare it with the printed one, group by group", "there is a slip in the code")
	}
	return typed, false, nil
}

// leastPhrase is how many characters a pass-phrase must have.
const leastPhrase = 10

// CheckPhrase refuses a pass-phrase that could be guessed at once.
func CheckPhrase(phrase string) error {
	if len([]rune(strings.TrimSpace(phrase))) < leastPhrase {
		return stash.Refuse(stash.CodeInput,
			"several words that do not belong together are good and easy to keep",
			"a pass-phrase needs at least %d characters", leastPhrase)
	}
	return nil
}
