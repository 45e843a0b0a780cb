package scale

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"go.bug.st/serial"

	"endsmeet/stash"
)

// Line is a line to a scale; nil is none.
type Line struct {
	port io.ReadWriteCloser
	// ask is sent to have a weight; empty where the scale sends by itself.
	ask   string
	lines <-chan string
	wait  time.Duration
}

// patience is how long a scale is waited for, usually.
const patience = 5 * time.Second

// lineShape is speed, bits, parity and stop bits, as "9600 8N1".
var lineShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(\d{2,7})(?:[ ,]*([78])[- ]?([NEO])[- ]?([12]))?$`)
})

// Open opens a line to a scale by the name of its device and its shape, such as "9600 8N1":
// speed, bits, parity and stop bits. Ask is what the scale is asked for its weight with, empty
// where it sends by itself; wait how long it is waited for, 0 for the usual while.
func Open(name, shape, ask string, wait time.Duration) (*Line, error) {
	mode, err := modeOf(shape)
	if err != nil {
		return nil, err
	}
	port, err := serial.Open(name, mode)
	if err != nil {
		return nil, stash.Refuse(stash.CodeInput,
			"Check the name, that the scale is on, and that you may use the line.",
			"The scale on %s cannot be reached: %v.", stash.Clean(name), err)
	}
	return &Line{port: port, ask: ask, lines: linesOf(port), wait: cmp.Or(wait, patience)}, nil
}

// modeOf reads "9600 8N1".
func modeOf(text string) (*serial.Mode, error) {
	m := lineShape().FindStringSubmatch(strings.ToUpper(strings.TrimSpace(text)))
	if m == nil {
		return nil, stash.Refuse(stash.CodeUsage,
			`Write it as "9600 8N1": speed, bits, parity, stop bits.`, "%q is no shape of a line.",
			stash.Clean(text))
	}
	mode := &serial.Mode{DataBits: 8}
	mode.BaudRate, _ = strconv.Atoi(m[1])
	if m[2] == "7" {
		mode.DataBits = 7
	}
	mode.Parity = map[string]serial.Parity{"N": serial.NoParity, "E": serial.EvenParity,
		"O": serial.OddParity}[m[3]]
	if m[4] == "2" {
		mode.StopBits = serial.TwoStopBits
	}
	return mode, nil
}

// linesOf reads lines, ended by a line feed or a carriage return, until the
// line is closed. Those that nobody waits for are kept, the newest only.
func linesOf(port io.Reader) <-chan string {
	out := make(chan string, 64)
	go func() {
		defer close(out)
		scan := bufio.NewScanner(port)
		scan.Split(endedEitherWay)
		for scan.Scan() {
			if strings.TrimSpace(scan.Text()) == "" {
				continue
			}
			if len(out) == cap(out) {
				select {
				case <-out:
				default:
				}
			}
			out <- scan.Text()
		}
	}()
	return out
}

// endedEitherWay splits at carriage returns and line feeds. What is not ended is
// no line.
func endedEitherWay(data []byte, _ bool) (int, []byte, error) {
	for i, b := range data {
		if b == '\r' || b == '\n' {
			return i + 1, data[:i], nil
		}
	}
	return 0, nil, nil
}

// Forget forgets what the scale sent before: it was of another item.
func (s *Line) Forget() {
	if s == nil {
		return
	}
	for len(s.lines) > 0 {
		<-s.lines
	}
}

// Read waits for a weight that may be taken: steady, with a unit, and of the yarn alone
// only where that is wanted.
func (s *Line) Read(ctx context.Context, net bool) (Weight, error) {
	if s.ask != "" {
		s.Forget()
		if _, err := io.WriteString(s.port, s.ask+"\r\n"); err != nil {
			return Weight{}, stash.Refuse(stash.CodeInput, "Type the weight.",
				"The scale cannot be asked: %v.", err)
		}
	}
	why := errors.New("the scale sends nothing; press its print key, or give --command")
	var watch Watch
	for wait := time.After(s.wait); ; {
		select {
		case line, ok := <-s.lines:
			if !ok {
				return Weight{}, stash.Refuse(stash.CodeInput, "Type the weight.",
					"The line to the scale is gone.")
			}
			var w Weight
			if w, why = watch.Add(line); why != nil || len(s.lines) > 0 {
				continue // what it sent last counts, not what it sent while the item was put on
			}
			if !w.Net || net {
				return w, nil
			}
			why = errors.New("the scale takes off a tare of its own; clear that, or give --net")
		case <-wait:
			return Weight{}, stash.Refuse(stash.CodeInput,
				"Press Enter to try again, or type the weight.", "No weight: %v.", why)
		case <-ctx.Done():
			return Weight{}, ctx.Err()
		}
	}
}

// Close ends the line.
func (s *Line) Close() {
	if s != nil {
		_ = s.port.Close()
	}
}
