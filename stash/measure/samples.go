package measure

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strings"
	"sync"
)

// sampleEnd finds where one sample ends and the next begins: behind a unit.
var sampleEnd = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)([a-z"'″′])\s*(?:[,;]|\band\b)\s*`)
})

// samplesApart is how many times one sample of a yarn may be as heavy for its length as
// another before one of them is taken for misread (common practice, no source).
const samplesApart = 3

// parseSamples reads several lengths that were cut and weighed: "3 m = 1.05 g, 3 m =
// 1.07 g". It is not ok where the text is no such list.
func parseSamples(body string) (yarn, bool, error) {
	parts := strings.Split(sampleEnd().ReplaceAllString(body, "$1\x00"), "\x00")
	if len(parts) < 2 {
		return yarn{}, false, nil
	}
	var all []sampled
	for _, part := range parts {
		one, ok, err := sampleOf(part)
		if err == nil && !ok {
			err = &Error{Input: part, Problem: "is no length with its weight",
				Hint: "write each sample as 3 m = 1.05 g"}
		}
		if err != nil {
			return yarn{}, ok || len(all) > 0, inWhole(err, body, part)
		}
		all = append(all, one)
	}
	if corrects(parts, all) {
		return yarn{}, false, nil
	}
	return meanOf(body, all)
}

// labelTimes is how many times as heavy as a sample the rest of a list is, at least, where
// it is what a label says of a whole ball (common practice, no source).
const labelTimes = 10

// corrects says whether one of a list is the put-up of a label, which the others correct.
func corrects(parts []string, all []sampled) bool {
	least, label := all[0].mass, false
	for _, s := range all {
		if s.mass.Cmp(least) < 0 {
			least = s.mass
		}
	}
	for i, s := range all {
		times, _ := new(big.Rat).Quo(s.mass, least).Float64()
		label = label || times >= labelTimes && !cutAndWeighed(parts[i], s.mass)
	}
	return label
}

// sampled is a length in mm that was cut and what it weighed in mg.
type sampled struct {
	length, mass *big.Rat
	// step is what the scale reads to, relative to the mass.
	step float64
}

func sampleOf(part string) (sampled, bool, error) {
	length, mass, ok, err := lengthAndMass(part)
	if err != nil || !ok {
		return sampled{}, ok, err
	}
	if length.Sign() == 0 || mass.Sign() == 0 {
		return sampled{}, true, noPutUp(part)
	}
	return sampled{length, mass, stepOf(part, mass)}, true, nil
}

// massWritten finds the mass in a sample and what stands behind its decimal sign.
var massWritten = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\d(?:[.,](\d+))?\s*g(?:rams?)?\b`)
})

// stepOf is one unit of the last digit of a mass in grams, relative to the mass.
func stepOf(part string, mass *big.Rat) float64 {
	m := massWritten().FindStringSubmatch(part)
	if m == nil {
		return 0
	}
	mg, _ := mass.Float64()
	return float64(Gram) * math.Pow(10, -float64(len(m[1]))) / mg
}

// meanOf is the yarn of all samples together, with the doubt of their mean.
func meanOf(body string, all []sampled) (yarn, bool, error) {
	length, mass := new(big.Rat), new(big.Rat)
	least, most := math.Inf(1), 0.0
	logs, step := make([]float64, len(all)), 0.0
	for i, s := range all {
		length.Add(length, s.length)
		mass.Add(mass, s.mass)
		per, _ := new(big.Rat).Quo(s.mass, s.length).Float64()
		least, most = min(least, per), max(most, per)
		logs[i], step = math.Log(per), max(step, s.step)
	}
	if most > samplesApart*least {
		return yarn{}, true, &Error{Input: body,
			Problem: fmt.Sprintf("one sample is %.1f times as heavy for its length as another", most/least),
			Hint:    "leave out the one that was misread"}
	}
	y, ok, err := putUp(body, length, mass)
	y.base, y.samples, y.doubt = BaseLabel, len(all), doubtOf(logs, step)
	return y, ok, err
}

// What the mean of samples is off by whatever their number: how taut a length is laid, and
// the marks that it is cut at (common practice, no source).
const sampleFloor = 0.01

// doubtOf is the relative standard uncertainty of the mean of samples, by the logarithms
// of their counts: their scatter, drawn towards that of one sample as one more sample
// would draw it since two or three tell little of it; the scale's last digit, which is
// the same in all (JCGM 100:2008, 4.2.3 and F.2.2.1); and what all share.
func doubtOf(logs []float64, step float64) Ratio {
	mean, sum := 0.0, math.Pow(WeighedSample.StartingDoubt().Float(), 2)
	for _, l := range logs {
		mean += l / float64(len(logs))
	}
	for _, l := range logs {
		sum += (l - mean) * (l - mean)
	}
	n := float64(len(logs))
	scatter := math.Sqrt(sum / n) // n-1 of their own, and the one more
	doubt := math.Hypot(math.Hypot(scatter/math.Sqrt(n), sampleFloor), step/math.Sqrt(12))
	return RatioOf(math.Round(doubt*1000) / 1000)
}
