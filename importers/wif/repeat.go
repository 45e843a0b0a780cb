package wif

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
)

// repeat returns the shortest period of a threading, treadling or lift plan: the
// least n such that every thread goes as the one n before it. A sequence
// without a shorter one is its own period. It is 0 when the file lacks the
// section.
func (s *scanner) repeat(name string, threads int) int {
	sec := s.sections[name]
	if sec == nil || threads == 0 {
		return 0
	}
	sequence := make([]string, threads)
	for _, key := range sortedKeys(sec) {
		e := sec.keys[key]
		n, err := strconv.Atoi(key)
		if err != nil || n < 1 || n > threads {
			s.fault(e.line, "["+name+"]", key, fmt.Sprintf("there is no such thread among %d",
				threads), "mend the number, or the number of threads")
			continue
		}
		shafts, ok := numbers(e.text)
		if e.text != "" && !ok {
			s.fault(e.line, "["+name+"] "+key, e.text, "not numbers with commas between them",
				"mend the line")
		}
		sequence[n-1] = fmt.Sprint(shafts)
	}
	return period(sequence)
}

// period returns the shortest period of a sequence, from its longest border
// (Knuth, Morris, Pratt 1977: the failure function).
func period(sequence []string) int {
	fail := make([]int, len(sequence)+1)
	k := 0
	for i := 1; i < len(sequence); i++ {
		for k > 0 && sequence[i] != sequence[k] {
			k = fail[k]
		}
		if sequence[i] == sequence[k] {
			k++
		}
		fail[i+1] = k
	}
	return len(sequence) - fail[len(sequence)]
}

// units are the format's units of spacing in millimetres: a decipoint is 1/720
// inch.
var units = map[string]*big.Rat{
	"decipoints": big.NewRat(254, 7200), "decipoint": big.NewRat(254, 7200),
	"inches": big.NewRat(254, 10), "inch": big.NewRat(254, 10), "in": big.NewRat(254, 10),
	"centimeters": big.NewRat(10, 1), "centimetres": big.NewRat(10, 1),
	"centimeter": big.NewRat(10, 1), "cm": big.NewRat(10, 1),
}

// sett returns how densely the threads of a side lie, from the distance between
// neighbours; threads with a distance of their own are averaged in. It also
// returns the distance as the file has it.
func (s *scanner) sett(name string, threads int) (*measure.Sett, string) {
	e, ok := s.get(name, "spacing")
	if !ok {
		return nil, ""
	}
	common, unit, word := s.distance(name, "spacing", e), (*big.Rat)(nil), ""
	if unit, word = s.unit(name); unit == nil || common == nil {
		return nil, ""
	}
	total := new(big.Rat)
	own := s.distances(name, threads)
	for thread := 1; thread <= threads; thread++ {
		if d := own[thread]; d != nil {
			total.Add(total, d)
		} else {
			total.Add(total, common)
		}
	}
	if total.Sign() == 0 {
		return nil, ""
	}
	perKilometre := new(big.Rat).Quo(big.NewRat(int64(threads)*1_000_000, 1),
		total.Mul(total, unit))
	sett, err := measure.ParseSett(perKilometre.FloatString(9) + "/1000000mm")
	if err != nil {
		s.fault(e.line, "["+name+"] spacing", e.text, "no cloth is as dense or as open as that",
			"mend Spacing or Units")
		return nil, ""
	}
	return &sett, e.text + " " + word
}

// unit returns the unit of a side's spacing in millimetres. The format's own is
// the decipoint.
func (s *scanner) unit(name string) (*big.Rat, string) {
	e, ok := s.get(name, "units")
	if !ok {
		return units["decipoints"], "decipoints"
	}
	unit := units[strings.ToLower(e.text)]
	if unit == nil {
		s.fault(e.line, "["+name+"] units", e.text, "not a unit of spacing",
			"one of decipoints, inches, centimeters")
	}
	return unit, strings.ToLower(e.text)
}

// distance reads a distance, which has a decimal point or comma.
func (s *scanner) distance(section, key string, e entry) *big.Rat {
	text := strings.ReplaceAll(e.text, ",", ".")
	r, ok := new(big.Rat).SetString(text)
	if !ok || r.Sign() < 0 || len(text) > 20 || strings.ContainsAny(text, "/eEpPxX_") {
		s.fault(e.line, "["+section+"] "+key, e.text, "not a distance", "mend the line")
		return nil
	}
	return r
}

// distances reads the threads that have a distance of their own.
func (s *scanner) distances(name string, threads int) map[int]*big.Rat {
	sec := s.sections[name+" spacing"]
	if sec == nil {
		return nil
	}
	out := make(map[int]*big.Rat)
	for _, key := range sortedKeys(sec) {
		e := sec.keys[key]
		n, err := strconv.Atoi(key)
		if err != nil || n < 1 || n > threads {
			s.fault(e.line, "["+name+" spacing]", key,
				fmt.Sprintf("there is no such thread among %d", threads),
				"mend the number, or the number of threads")
			continue
		}
		if d := s.distance(name+" spacing", key, e); d != nil {
			out[n] = d
		}
	}
	return out
}
