package study

import (
	"encoding/json"
	"fmt"
)

// ReadExtra reads a member of Extra, and reports whether there is one that fits.
func (s *Study) ReadExtra(name string, into any) bool {
	var all map[string]json.RawMessage
	if s.Extra == "" || json.Unmarshal([]byte(s.Extra), &all) != nil {
		return false
	}
	member, ok := all[name]
	return ok && json.Unmarshal(member, into) == nil
}

// SetExtra gives Extra a member, beside whatever else it carries. It fails, and
// changes nothing, where Extra is no object or value no JSON.
func (s *Study) SetExtra(name string, value any) error {
	text, err := json.Marshal(value)
	if err != nil {
		return fmt.Errorf("study: extra: %w", err)
	}
	member, err := parse(text, 1)
	if err != nil {
		return fmt.Errorf("study: extra: %w", err)
	}
	all := newObject()
	if s.Extra != "" {
		tree, err := parse([]byte(s.Extra), 1)
		if err != nil {
			return fmt.Errorf("study: extra: %w", err)
		}
		ok := false
		if all, ok = tree.(*object); !ok {
			return fmt.Errorf("study: extra is no object, want one to keep %q in", name)
		}
	}
	if _, there := all.values[name]; there {
		all.values[name] = member
	} else {
		all.set(name, member)
	}
	s.Extra = printed(all)
	return nil
}
