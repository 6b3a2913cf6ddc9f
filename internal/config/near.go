package config

import "strings"

// nearest gives the known key that a wrong one may have meant, or "".
func nearest(wrong string) string {
	wrong = strings.ToLower(wrong)
	best, least := "", len(wrong)/3+1
	for _, k := range keys {
		if len(wrong) >= 3 && strings.HasPrefix(k.Name, wrong) {
			return k.Name
		}
		if n := slips(wrong, k.Name); n <= least {
			best, least = k.Name, n-1
		}
	}
	return best
}

// slips is the Levenshtein distance: letters added, left out or replaced
// (V. I. Levenshtein, Soviet Physics Doklady 10:707, 1966, from memory).
func slips(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		corner := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := corner
			if a[i-1] != b[j-1] {
				change++
			}
			corner = row[j]
			row[j] = min(change, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
