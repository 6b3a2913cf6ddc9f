package library

import (
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// SearchMaterials keeps the materials of which every word of the query is
// part of the name, the family, the hardness or the cured color; if none is,
// those whose name is near.
func SearchMaterials(all []shop.Material, query string) []shop.Material {
	words := strings.Fields(chat.Fold(query))
	var found []shop.Material
	for _, m := range all {
		text := m.Name + " " + string(m.Family) + " " + m.CuredColor
		if m.Hardness != nil {
			text += " " + m.Hardness.String()
		}
		if containsAll(chat.Fold(text), words) {
			found = append(found, m)
		}
	}
	if len(found) > 0 {
		return found
	}
	byName := make([]string, len(all))
	for i, m := range all {
		byName[i] = m.Name
	}
	for _, name := range chat.Nearest(query, byName) {
		for _, m := range all {
			if m.Name == name {
				found = append(found, m)
			}
		}
	}
	return found
}

func containsAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}
