package safety

import (
	"fmt"
	"strings"

	"fitchet.example/units"
)

// ParseRoom reads the temperature of a room: one, "21 °C" or "70 °F", or
// several with how long each lasts, "3 h at 18 °C, 2 h at 24 °C". The last
// one goes on as long as it is needed and may stand without a time: "3 h at 18
// °C, 24 °C". An empty text is a room that is not known. The error wraps
// [ErrServing], [ErrPeriod] or one of units.
func ParseRoom(s string) ([]Spell, error) {
	if strings.TrimSpace(s) == "" {
		return nil, nil
	}
	parts, err := commas(s)
	if err != nil {
		return nil, fmt.Errorf("room %q: %w", clip(s), err)
	}
	var out []Spell
	for i, part := range parts {
		long, at, timed := cutAt(part)
		if !timed {
			long, at = "", part
			if i < len(parts)-1 {
				return nil, fmt.Errorf("room %q: %w: all but the last temperature need their time, such as \"3 h at 18 °C\"", clip(s), ErrServing)
			}
		}
		var step Spell
		if step.At, err = units.ParseTemperature(at); err != nil {
			return nil, fmt.Errorf("room %q: %w", clip(s), err)
		}
		if timed {
			if step.For, err = ParsePeriod(long); err != nil {
				return nil, fmt.Errorf("room %q: %w", clip(s), err)
			}
		}
		out = append(out, step)
	}
	return out, nil
}

// ParseClocks reads time already spent above 5 °C: "40 min", or by kind and
// with temperatures, "thawing 40 min at 20 °C, preparing 20 min, bowl 1 h".
// Kinds are those of [TimeWarmKind]. An empty text is no time. Errors as for
// [ParseRoom].
func ParseClocks(s string) ([]TimeWarm, error) {
	if strings.TrimSpace(s) == "" {
		return nil, nil
	}
	parts, err := commas(s)
	if err != nil {
		return nil, fmt.Errorf("time already spent %q: %w", clip(s), err)
	}
	var out []TimeWarm
	for _, part := range parts {
		var c TimeWarm
		long, at, given := cutAt(part)
		if !given {
			long = part
		}
		if word, rest, ok := strings.Cut(long, " "); ok {
			if k, err := parseClockKind(word); err == nil {
				c.Kind, long = k, rest
			}
		}
		if c.For, err = ParsePeriod(long); err != nil {
			return nil, fmt.Errorf("time already spent %q: %w", clip(s), err)
		}
		if given {
			t, err := units.ParseTemperature(at)
			if err != nil {
				return nil, fmt.Errorf("time already spent %q: %w", clip(s), err)
			}
			c.At = At(t)
		}
		out = append(out, c)
	}
	return out, nil
}

func commas(s string) ([]string, error) {
	const most = 1000
	parts := strings.Split(s, ",")
	if len(parts) > most {
		return nil, fmt.Errorf("%w: more than %d entries", ErrServing, most)
	}
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts, nil
}

func cutAt(s string) (before, after string, ok bool) {
	before, after, ok = strings.Cut(s, " at ")
	return strings.TrimSpace(before), strings.TrimSpace(after), ok
}
