package unmarked

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// asked draws rules that ask of yarn.
var asked = rapid.Custom(func(t *rapid.T) stash.Rule {
	text := rapid.SampledFrom([]string{"against ", "ask "}).Draw(t, "answer") +
		rapid.SampledFrom([]string{"wool", "animal hair", "only cotton", "unknown fibre", "coarse",
			"lanolin", "latex", "possible latex", "shedding 1", "dust", "loops", "long ends", "metal",
			"odour", "odour smoke", "bleeds", "survives 60 C normal", "melts", "perished", "oil",
			"thick 500", "feathers", "leather", "small parts", "finish", "mould", "insects", "pets",
			"shellfish", "alpaca"}).Draw(t, "test")
	r, err := people.ParseRule(text)
	if err != nil {
		t.Fatal(err)
	}
	return r
})

// What rules ask of a yarn and nobody has recorded is proposed, whatever the yarn and the
// rules: for each reason that is not recorded there is a step that names its rule.
func TestWhatRulesAskIsProposed(t *testing.T) {
	t.Parallel()
	proposed := 0
	rapid.Check(t, func(t *rapid.T) {
		y := stash.Yarn{YarnFacts: yarns.Draw(t, "yarn")}
		y.Name = rapid.SampledFrom([]string{"Moss", "Mystery cone", "Wool look"}).Draw(t, "name")
		y.Note = rapid.SampledFrom([]string{"", "label inside says wool", "smells of smoke",
			"probably cotton"}).Draw(t, "own note")
		p := stash.Person{PersonFacts: stash.PersonFacts{Name: "Tamsel",
			Rules: rapid.SliceOfN(asked, 1, 5).Draw(t, "rules")}}
		steps := Steps(y, []stash.Person{p})
		for _, reason := range people.Suits(p, y).Reasons {
			if reason.Answer != stash.Unknown {
				continue
			}
			proposed++
			if !slices.ContainsFunc(steps, func(s Step) bool {
				return slices.ContainsFunc(s.For, func(of string) bool { return strings.Contains(of, reason.Rule) })
			}) {
				t.Fatalf("%s asks %q, of which nothing is proposed: %+v", reason.Rule, reason.Why, steps)
			}
		}
	})
	if proposed == 0 {
		t.Error("nothing was asked")
	}
}

// What a step proposes to record answers the rule that asks it.
func TestRecordingAStepAnswersItsRule(t *testing.T) {
	t.Parallel()
	for rule, value := range map[string]string{
		"against wool": "fibre=cotton 100", "against shedding 1": "shedding=0",
		"against odour": "odour=none", "against bleeds": "bleeds=no", "against loops": "construction=plied",
		"against survives 60 C normal": "wash=60 C normal", "against thick 500": "count=8/2 Ne",
		"against coarse": "fibre=wool (18.5 um) 100", "against melts": "fibre=cotton 100",
	} {
		r, err := people.ParseRule(strings.Replace(rule, "against survives", "survives", 1))
		if err != nil {
			t.Error(err)
			continue
		}
		p := stash.Person{PersonFacts: stash.PersonFacts{Rules: []stash.Rule{r}}}
		steps := Steps(stash.Yarn{}, []stash.Person{p})
		field, text, _ := strings.Cut(value, "=")
		if len(steps) != 1 || steps[0].Field != field {
			t.Errorf("%s proposes %+v", rule, steps)
			continue
		}
		raw, err := stash.Value(stash.WhatYarn, field, text)
		var y stash.Yarn
		if err != nil || json.Unmarshal([]byte(`{"`+field+`":`+string(raw)+`}`), &y.YarnFacts) != nil {
			t.Errorf("%s: %v", value, err)
			continue
		}
		if got := Steps(y, []stash.Person{p}); len(got) > 0 {
			t.Errorf("%s with %s still asks %+v", rule, value, got)
		}
	}
}

// A fibre that somebody only said can be tested, and what it was said to be is kept.
func TestWhatASellerSaysIsTested(t *testing.T) {
	t.Parallel()
	y := yarnOf(t, "cotton (says seller)").YarnFacts
	ranked := Rank(y, nil)
	if len(ranked) == 0 {
		t.Fatal("no test is named")
	}
	for _, r := range ranked {
		for _, s := range r.Signs {
			field, value, then, ok := Proposal(y, s)
			if !ok {
				continue
			}
			if field != "fibre" || !strings.Contains(value, "named cotton") ||
				then.Fibre[0].Fibre != s.Leaves || then.Fibre[0].Share != measure.Whole {
				t.Errorf("%s: %s=%s %+v", s.Shows, field, value, then.Fibre)
			}
		}
	}
}
