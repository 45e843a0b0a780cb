package verdict

import (
	"strings"
	"testing"
	"time"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// yarn is an invented yarn of a fibre text.
func yarn(t *testing.T, name, content string) stash.Yarn {
	t.Helper()
	y := stash.Yarn{ID: stash.YarnID("id of " + name)}
	y.Name = name
	y.Count = &stash.CountFact{Count: 150 * measure.Tex}
	if content != "" {
		var err error
		if y.Fibre, err = fibre.ParseContent(content); err != nil {
			t.Fatal(err)
		}
	}
	return y
}

// shelf holds one package of 200 g of each yarn.
func shelf(yarns ...stash.Yarn) making.Shelf {
	s := making.Shelf{Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}, Settings: stash.DefaultSettings(),
		Now: time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC)}
	for _, y := range yarns {
		p := stash.Package{ID: stash.PackageID(y.Name)}
		p.Yarn, p.Tag, p.Held, p.Received, p.Known = y.ID, y.Name, 200*measure.Gram,
			200*measure.Gram, true
		s.Yarns[y.ID], s.Packages = y, append(s.Packages, p)
	}
	return s
}

func parts(s making.Shelf, roles ...stash.Role) []Part {
	var out []Part
	for i, role := range roles {
		p := s.Packages[i]
		out = append(out, Part{Role: role, Yarn: s.Yarns[p.Yarn], Packages: []stash.Package{p}})
	}
	return out
}

func grade(t *testing.T, v Verdict, q Question) Answer {
	t.Helper()
	a, asked := v.Of(q)
	if !asked {
		t.Fatalf("%s was not asked: %+v", q, v)
	}
	return a
}

func TestFeltingWarpWithSuperwashWeftIsRefusedInEveryRole(t *testing.T) {
	s := shelf(yarn(t, "moss", "wool 100"), yarn(t, "sky", "wool (merino superwash) 100"))
	for _, roles := range [][]stash.Role{{stash.RoleWarp, stash.RoleWeft},
		{stash.RoleWeft, stash.RoleWarp}, {stash.RoleWarp, stash.RoleWarp},
		{stash.RoleWeft, stash.RoleWeft}, {stash.RoleWarp, stash.RoleHemstitch},
		{stash.RoleWarp, RoleTrim}} {
		a := grade(t, judge(s, Case{Parts: parts(s, roles...)}), Agree)
		if a.Grade != No || !strings.Contains(a.Words, "part company") || a.Do == "" {
			t.Errorf("%v: %+v", roles, a)
		}
	}
}

func TestWhatGoesOnlyAsAnEffectIsRefusedUnlessAnEffectIsMeant(t *testing.T) {
	elastic := yarn(t, "navy", "cotton 92, elastane 8")
	s := shelf(yarn(t, "oat", "cotton 100"), elastic)
	if a := grade(t, judge(s, Case{Parts: parts(s, stash.RoleWarp, stash.RoleWeft)}),
		Agree); a.Grade != No {
		t.Errorf("as weft: %+v", a)
	}
	if a := grade(t, judge(s, Case{Parts: parts(s, stash.RoleWarp, RoleEffect)}),
		Agree); a.Grade != Check {
		t.Errorf("as an effect: %+v", a)
	}
}

func TestTheWorstAnswerIsOnTop(t *testing.T) {
	s := shelf(yarn(t, "moss", "wool 100"), yarn(t, "sky", "wool (merino superwash) 100"))
	v := judge(s, Case{Parts: parts(s, stash.RoleWarp, stash.RoleWeft),
		Size: &Size{Verdict: chance.Likely, Probability: 0.8, RunsOut: "weft"}})
	if v.Grade != No || v.Answers[0].Question != Agree || v.Answers[1].Question != Enough {
		t.Errorf("%+v", v)
	}
}

func TestShortAlwaysHasAReason(t *testing.T) {
	for _, runsOut := range []string{"", "nothing", "warp", "weft", "slate", "longest warp"} {
		for _, word := range []chance.Verdict{chance.Likely, chance.Short} {
			a := (Size{Verdict: word, Probability: 0.4866, RunsOut: runsOut}).enough(nil)
			if a.Grade == Yes || strings.Contains(a.Words, "nothing") || len(a.Words) < 25 {
				t.Errorf("%s, %q: %q", word, runsOut, a.Words)
			}
		}
	}
}

func TestTheSettingOfMixedLotsIsObeyed(t *testing.T) {
	yes, no := true, false
	s := shelf(yarn(t, "oat", "cotton 100"))
	changes := []fit.LotChange{{Role: "warp", Lots: []string{"77", "81"}}}
	for _, c := range []struct {
		mix  *bool
		want Grade
	}{{nil, Check}, {&yes, Yes}, {&no, No}} {
		b := stash.ProjectFacts{MixLots: c.mix}
		if a := grade(t, judge(s, Case{Facts: b, Parts: parts(s, stash.RoleWarp),
			Changes: changes}), Lots); a.Grade != c.want {
			t.Errorf("%v: %+v", c.mix, a)
		}
	}
}

func TestEveryBarOfAPackageBlocksItsCloth(t *testing.T) {
	for name, spoil := range map[string]func(*stash.Package, *stash.Yarn){
		"lent":       func(p *stash.Package, _ *stash.Yarn) { p.LentTo = "the guild" },
		"retired":    func(p *stash.Package, _ *stash.Yarn) { p.Retired = true },
		"quarantine": func(p *stash.Package, _ *stash.Yarn) { p.Quarantine = &stash.Quarantine{} },
		"perished":   func(_ *stash.Package, y *stash.Yarn) { y.Hazards = []string{"perished"} },
		"unfit":      func(_ *stash.Package, y *stash.Yarn) { y.Fit = stash.FitDiscard },
		"empty":      func(p *stash.Package, _ *stash.Yarn) { p.Held = 0 },
		"promised": func(p *stash.Package, _ *stash.Yarn) {
			p.Reserve = &stash.Reserve{Mass: p.Held}
		},
	} {
		t.Run(name, func(t *testing.T) {
			y := yarn(t, "oat", "cotton 100")
			s := shelf(y)
			spoil(&s.Packages[0], &y)
			s.Yarns[y.ID] = y
			if bar := s.Bar(s.Packages[0]); string(bar) != name {
				t.Fatalf("the bar is %q", bar)
			}
			if got := s.Available(s.Packages[0]); got != 0 {
				t.Errorf("%d mg of it are available", got)
			}
			if a := grade(t, judge(s, Case{Parts: parts(s, stash.RoleWarp)}),
				Condition); a.Grade.Blocks() == (name == "promised") || a.Grade == Yes {
				t.Errorf("%+v", a)
			}
		})
	}
}

func TestARecipientWhoseRulesAreElsewhereIsNotKnown(t *testing.T) {
	s := shelf(yarn(t, "oat", "cotton 100"))
	v := judge(s, Case{Parts: parts(s, stash.RoleWarp), For: Whom{Elsewhere: true}})
	if a := grade(t, v, Recipient); a.Grade != Unknown || v.Refused("", nil) == nil {
		t.Errorf("%+v", a)
	}
}

func TestWhatWasSetAsideStaysSoAndNothingElse(t *testing.T) {
	rule, err := people.ParseRule("against wool strict")
	if err != nil {
		t.Fatal(err)
	}
	var mira stash.Person
	mira.ID, mira.Name, mira.Rules = "mira", "Mira", []stash.Rule{rule}
	s := shelf(yarn(t, "moss", "wool 100"), yarn(t, "sky", "wool (merino superwash) 100"))
	v := judge(s, Case{Parts: parts(s, stash.RoleWarp), For: Whom{Person: &mira}})
	if v.Refused("", nil) == nil {
		t.Fatal("wool for somebody against wool is not refused")
	}
	o, private, any := v.Aside("she asked for it", mira.ID)
	if !any || !private || o.Person != mira.ID || len(o.Rules) != 1 ||
		v.Refused("", []stash.Override{o}) != nil {
		t.Errorf("%+v %v %v", o, private, any)
	}
	both := judge(s, Case{Parts: parts(s, stash.RoleWarp, stash.RoleWeft),
		For: Whom{Person: &mira}})
	if both.Refused("", []stash.Override{o}) == nil {
		t.Error("what was set aside for one reason lets another pass")
	}
	other := judge(shelf(yarn(t, "fell", "wool 100")),
		Case{Parts: parts(shelf(yarn(t, "fell", "wool 100")), stash.RoleWarp),
			For: Whom{Person: &mira}})
	if other.Refused("", []stash.Override{o}) == nil {
		t.Error("what was set aside for one yarn lets another pass")
	}
	bo := mira
	bo.ID, bo.Name = "bo", "Bo"
	if judge(s, Case{Parts: parts(s, stash.RoleWarp), For: Whom{Person: &bo}}).Refused("",
		[]stash.Override{o}) == nil {
		t.Error("what was set aside for one person lets it pass to another of the same rule")
	}
}

// One reason of the weaver's sets all aside, so a refusal says all of it.
func TestARefusalSaysEverythingThatBlocks(t *testing.T) {
	rule, err := people.ParseRule("against wool")
	if err != nil {
		t.Fatal(err)
	}
	var mira stash.Person
	mira.ID, mira.Name, mira.Rules = "mira", "Mira", []stash.Rule{rule}
	s := shelf(yarn(t, "moss", "wool 100"), yarn(t, "sky", "wool (merino superwash) 100"))
	err = judge(s, Case{Parts: parts(s, stash.RoleWarp, stash.RoleWeft),
		For: Whom{Person: &mira}}).Refused("", nil)
	if err == nil || !strings.Contains(err.Error(), "must not reach the person") ||
		!strings.Contains(err.Error(), "felt") {
		t.Errorf("got %v", err)
	}
}

// The sentence of a refusal stands on the same step of the ladder as the answer, also
// where only the lesser of two reasons was not set aside.
func TestARefusalForAPersonSaysNoWorseThanTheAnswer(t *testing.T) {
	var mira stash.Person
	mira.ID, mira.Name = "mira", "Mira"
	for _, text := range []string{"against wool", "ask linen"} {
		rule, err := people.ParseRule(text)
		if err != nil {
			t.Fatal(err)
		}
		mira.Rules = append(mira.Rules, rule)
	}
	const no, unknown = "must not reach", "is not known"
	wool, unnamed := yarn(t, "moss", "wool 100"), yarn(t, "found", "")
	for grade, c := range map[Grade]struct {
		yarn      stash.Yarn
		says, not string
	}{No: {wool, no, unknown}, Unknown: {unnamed, unknown, no},
		Check: {yarn(t, "flax", "linen 100"), "", ""}, Yes: {yarn(t, "oat", "cotton 100"), "", ""}} {
		s := shelf(c.yarn)
		v := judge(s, Case{Parts: parts(s, stash.RoleWarp), For: Whom{Person: &mira}})
		a, _ := v.Of(Recipient)
		err := v.Refused("", nil)
		if a.Grade != grade || (err != nil) != grade.Blocks() || err != nil &&
			(!strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), c.not)) {
			t.Errorf("%s: %+v, %v", grade, a, err)
		}
	}
	s := shelf(wool)
	aside, _, _ := judge(s, Case{Parts: parts(s, stash.RoleWarp), For: Whom{Person: &mira}}).Aside(
		"a felted edge that she asked for", mira.ID)
	s = shelf(wool, unnamed)
	err := judge(s, Case{Parts: parts(s, stash.RoleWarp, stash.RoleWeft),
		For: Whom{Person: &mira}}).Refused("", []stash.Override{aside})
	if err == nil || !strings.Contains(err.Error(), unknown) || strings.Contains(err.Error(), no) {
		t.Errorf("what was set aside is said again: %v", err)
	}
}

func TestOddsAreNeverTheCertaintyThatTheyAreNot(t *testing.T) {
	for p, want := range map[float64]string{
		1: "more than 999 chances in 1000", 0.9995: "more than 999 chances in 1000",
		0.995: "995 chances in 1000", 0.9: "90 chances in 100",
		0.29: "29 chances in 100", 0.01: "1 chance in 100", 0.002: "2 chances in 1000",
		0: "less than 1 chance in 1000",
	} {
		if got := Odds(p); got != want {
			t.Errorf("%v: %s, want %s", p, got, want)
		}
	}
}

func TestTheRulesOfKindsCanBeRead(t *testing.T) {
	rules := 0
	for _, k := range kinds.Usual() {
		rules += len(k.Rules)
		if got := len(FitnessOf(k).rules); got != len(k.Rules) {
			t.Errorf("%s: %d of %d rules can be read", k.Name, got, len(k.Rules))
		}
	}
	if rules == 0 {
		t.Error("there are none")
	}
}

func TestWhatIsWornOnTheSkinAsksForYarnFitForIt(t *testing.T) {
	for _, name := range []string{"scarf", "cowl", "shawl", "wrap", "baby blanket"} {
		k, ok := kinds.Named(kinds.Usual(), name)
		if !ok {
			t.Fatalf("no kind %s", name)
		}
		f := FitnessOf(k)
		for _, content := range []string{"paper 100", "metal 5, silk 95", "wool (36 um) 100"} {
			if len(f.Unfit(yarn(t, "one", content), "")) == 0 {
				t.Errorf("%s: %s is fit for it", name, content)
			}
		}
		s := shelf(yarn(t, "reed", "paper 100"))
		if a := grade(t, judge(s, Case{Facts: stash.ProjectFacts{Kind: name},
			Parts: parts(s, stash.RoleWarp)}), Condition); a.Grade != Check ||
			!strings.Contains(a.Words, "is not for a "+name) {
			t.Errorf("%s: %+v", name, a)
		}
	}
}
