package main

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

	"endsmeet/importers/scale"
	"endsmeet/stash"
)

// scaleLine is a line to a scale; nil is none.
type scaleLine struct {
	port io.ReadWriteCloser
	// ask is sent to have a weight; empty where the scale sends by itself.
	ask   string
	lines <-chan string
	wait  time.Duration
}

// scalePatience is how long a scale is waited for, usually.
const scalePatience = 5 * time.Second

// lineShape is speed, bits, parity and stop bits, as "9600 8N1".
var lineShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(\d{2,7})(?:[ ,]*([78])[- ]?([NEO])[- ]?([12]))?$`)
})

// openScale opens the line to the scale of --port, nil where there is none.
func (k *call) openScale() (*scaleLine, error) {
	name := k.String("port")
	if name == "" {
		return nil, nil
	}
	mode, err := lineMode(k.String("line"))
	if err != nil {
		return nil, err
	}
	port, err := serial.Open(name, mode)
	if err != nil {
		return nil, stash.Refuse(stash.CodeInput,
			"Check the name, that the scale is on, and that you may use the line.",
			"The scale on %s cannot be reached: %v.", stash.Clean(name), err)
	}
	s := &scaleLine{port: port, ask: k.String("command"), lines: scaleLines(port),
		wait: cmp.Or(k.env.scaleWait, scalePatience)}
	return s, nil
}

// lineMode reads "9600 8N1".
func lineMode(text string) (*serial.Mode, error) {
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

// scaleLines reads lines, ended by a line feed or a carriage return, until the
// line is closed. Those that nobody waits for are kept, the newest only.
func scaleLines(port io.Reader) <-chan string {
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

// clear forgets what the scale sent before: it was of another item.
func (s *scaleLine) clear() {
	if s == nil {
		return
	}
	for len(s.lines) > 0 {
		<-s.lines
	}
}

// read waits for a weight that may be taken: steady, with a unit, of the kind that
// is wanted.
func (s *scaleLine) read(ctx context.Context, one *stockReading) error {
	if s.ask != "" {
		s.clear()
		if _, err := io.WriteString(s.port, s.ask+"\r\n"); err != nil {
			return stash.Refuse(stash.CodeInput, "Type the weight.",
				"The scale cannot be asked: %v.", err)
		}
	}
	why := errors.New("the scale sends nothing; press its print key, or give --command")
	var watch scale.Watch
	for wait := time.After(s.wait); ; {
		select {
		case line, ok := <-s.lines:
			if !ok {
				return stash.Refuse(stash.CodeInput, "Type the weight.",
					"The line to the scale is gone.")
			}
			var w scale.Weight
			if w, why = watch.Add(line); why != nil || len(s.lines) > 0 {
				continue // what it sent last counts, not what it sent while the item was put on
			}
			if w.Net && !one.Net {
				why = errors.New("the scale takes off a tare of its own; clear that, or give --net")
				continue
			}
			one.setWeight(w)
			return nil
		case <-wait:
			return stash.Refuse(stash.CodeInput, "Press Enter to try again, or type the weight.",
				"No weight: %v.", why)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// setWeight takes the weight that a scale sent.
func (c *stockReading) setWeight(w scale.Weight) {
	c.Mass, c.Raw = w.Mass, w.Raw
	if c.Step == 0 {
		c.Step = w.Step
	}
}

func (s *scaleLine) close() {
	if s != nil {
		_ = s.port.Close()
	}
}
