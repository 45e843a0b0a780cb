package measure

import (
	"math"
	"strconv"
	"strings"
)

// InPercent is a share as a person reads it, to a tenth of a per cent: "6.5%", "5%". What is
// not nothing is not said to be.
func InPercent(share float64) string {
	if small(share) {
		return "under 0.1%"
	}
	return trimZeros(strconv.FormatFloat(100*share, 'f', 1, 64)) + "%"
}

// InTenths is a share as a column has it: every one to a tenth.
func InTenths(share float64) string {
	if small(share) {
		return "under 0.1%"
	}
	return strconv.FormatFloat(100*share, 'f', 1, 64) + "%"
}

// PlusMinus is a relative uncertainty: two figures at most (JCGM 100:2008, 7.2.6), and
// never none.
func PlusMinus(share float64) string {
	if share >= 0.0995 {
		return "± " + strconv.FormatFloat(100*share, 'f', 0, 64) + "%"
	}
	if small(share) || share == 0 {
		return "± under 0.1%"
	}
	return "± " + strconv.FormatFloat(100*share, 'f', 1, 64) + "%"
}

func small(share float64) bool { return share != 0 && math.Abs(share) < 0.0005 }

// Within gives a length of cloth no finer than its uncertainty: whole centimetres, or
// inches, where that is one or more.
func (l Length) Within(u Length, sys System) string {
	switch {
	case sys == Imperial && u >= 25:
		return l.inches(1) + " in"
	case sys == Metric && u >= 10:
		return scaled(int64(l), perCentim, 0) + " cm"
	}
	return l.Cloth(sys)
}

// trimZeros drops the zeros at the end of a decimal.
func trimZeros(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}
