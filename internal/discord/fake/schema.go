package fake

import (
	"bytes"
	"fmt"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The schemas are compiled once for all servers of a test binary.
var (
	strict  = sync.OnceValue(func() *schemas { return load("testdata/schema.strict.json", "urn:pourwright:discord:schema.strict") })
	inbound = sync.OnceValue(func() *schemas { return load("testdata/inbound.schema.json", "urn:pourwright:discord:inbound") })
)

// warm compiles what every conversation is judged by, so that the first one is
// not kept waiting for it.
var warm = sync.OnceFunc(func() {
	for _, name := range []string{"InteractionCallback", "ResponseEdit", "FollowupCreate"} {
		if _, err := strict().get(name); err != nil {
			panic(err)
		}
	}
	if _, err := inbound().get("Interaction"); err != nil {
		panic(err)
	}
})

type schemas struct {
	mu       sync.Mutex
	compiler *jsonschema.Compiler
	id       string
	byName   map[string]*jsonschema.Schema
}

// load panics when an embedded schema is broken: that is a mistake in the
// source, not in what is tested.
func load(name, id string) *schemas {
	raw, err := testdata.ReadFile(name)
	if err != nil {
		panic(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		panic(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource(id, doc); err != nil {
		panic(err)
	}
	return &schemas{compiler: c, id: id, byName: make(map[string]*jsonschema.Schema)}
}

// check validates raw JSON against one definition.
func (s *schemas) check(name string, raw []byte) error {
	schema, err := s.get(name)
	if err != nil {
		return err
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		return fmt.Errorf("not JSON: %w", err)
	}
	if err := schema.Validate(doc); err != nil {
		return fmt.Errorf("%s: %s", name, strings.ReplaceAll(err.Error(), "\n", " "))
	}
	return nil
}

func (s *schemas) get(name string) (*jsonschema.Schema, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if schema, ok := s.byName[name]; ok {
		return schema, nil
	}
	schema, err := s.compiler.Compile(s.id + "#/$defs/" + name)
	if err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	s.byName[name] = schema
	return schema, nil
}

// CheckOutbound validates a body that we send against a definition of the
// strict schema, such as "InteractionCallback".
func CheckOutbound(definition string, raw []byte) error { return strict().check(definition, raw) }

// CheckInbound validates what the service sends, such as "Interaction" or
// "GatewayFrame".
func CheckInbound(definition string, raw []byte) error { return inbound().check(definition, raw) }
