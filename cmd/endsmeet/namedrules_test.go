package main

import (
	"context"
	"strings"
	"testing"
)

// conditions are how yarn may be kept from being woven, each with what brings the ball G
// into it.
var conditions = map[string][]string{
	"whole":       {"set", "G", "bin=A"},
	"perished":    {"set", "G", "hazards=perished"},
	"unfit":       {"set", "G", "fit=discard"},
	"not as warp": {"set", "G", "fit=weft only"},
	"lent":        {"lend", "G", "--to", "guild"},
	"quarantine":  {"set", "G", "quarantine=2026-01-01 webbing"},
	"reserved":    {"set", "G", "reserve=300g for a commission"},
	"empty":       {"weigh", "G", "0g", "--net", "--as-read"},
	"retired":     {"retire", "G", "--leftover", "given"},
}

// ruled is a desk with a ball G that the rules of a person refuse, and a project for her
// that names it with yarn that may be woven in its place.
func ruled(t *testing.T, as string) *desk {
	d := newDesk(t)
	for _, tag := range []string{"O", "P"} {
		d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
			"--tag", tag, "--colour", "oat")
	}
	d.run("receive", "Springband", "--fibre", "natural rubber 40, cotton 60", "--count", "8/2 Ne",
		"--net", "300g", "--tag", "G", "--colour", "white")
	d.run("person", "add", "Mira", "--rule", "against latex")
	both := map[string][]string{"warp": {"--warp", "O", "--weft", "P"},
		"weft": {"--warp", "O", "--weft", "P"}, "hemstitching": {"--warp", "O", "--weft", "P",
			"--hemstitched-edges", "2", "--hemstitch-yarn", "G"}}[as]
	if as != "hemstitching" {
		both = append(both, "--"+as, "G")
	}
	d.run(append([]string{"project", "add", "cuff", "--kind", "scarf", "--for", "Mira", "--width", "20cm",
		"--length", "100cm", "--sett", "6/cm", "--picks", "6/cm", "--structure", "plain"}, both...)...)
	return d
}

func TestAYarnThatAProjectNamesIsHeldAgainstTheRulesInWhateverCondition(t *testing.T) {
	t.Parallel()
	tells := func(t *testing.T, d *desk, args ...string) {
		d.try(context.Background(), args...)
		said := strings.Join(strings.Fields(d.out.String()+d.err.String()), " ")
		if !strings.Contains(said, "Springband") || !strings.Contains(said, "(against latex)") ||
			strings.Contains(said, "no rule broken") {
			t.Errorf("%q does not tell it: %s", args, said)
		}
	}
	for _, as := range []string{"warp", "weft", "hemstitching"} {
		for name, into := range conditions {
			t.Run(as+" "+name, func(t *testing.T) {
				t.Parallel()
				d := ruled(t, as)
				d.run(into...)
				for _, args := range [][]string{{"plan", "cuff"}, {"share", "cuff"}, {"start", "cuff"},
					{"plan", "cuff", "--another"}, {"plan", "cuff", "--largest"}, {"next"}} {
					tells(t, d, args...)
				}
				if said := d.run("fits", "cuff"); strings.Contains(said, "no rule broken") &&
					strings.Contains(said, "Springband") {
					t.Errorf("fits proposes it: %s", said)
				}
				if as == "warp" {
					return // the piece is wound of the other yarn alone
				}
				d = ruled(t, as)
				d.run("start", "cuff", "--override", "she knows")
				d.try(context.Background(), into...)
				tells(t, d, "loom", "cuff 1")
				d.run("finish", "cuff 1", "--length", "100cm", "--width", "20cm")
				tells(t, d, "another", "cuff 1")
			})
		}
	}
}
