// Package fits holds JSON against a JSON Schema, for the tests of programs that
// print both. It knows the few words of draft 2020-12 that their schemas use and
// reports any other, so that nothing passes unchecked.
package fits

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Check returns everything in the document that does not fit the schema.
func Check(schema, document []byte) []string {
	var root map[string]any
	if err := json.Unmarshal(schema, &root); err != nil {
		return []string{"the schema is no JSON: " + err.Error()}
	}
	var v any
	if err := json.Unmarshal(document, &v); err != nil {
		return []string{"the document is no JSON: " + err.Error()}
	}
	return fit(root, root, v, "$")
}

func fit(root, schema map[string]any, v any, path string) (faults []string) {
	note := func(format string, a ...any) { faults = append(faults, path+": "+fmt.Sprintf(format, a...)) }
	object, isObject := v.(map[string]any)
	for key, rule := range schema {
		switch key {
		case "$schema", "$id", "$defs", "title", "description", "properties", "additionalProperties":
		case "$ref":
			at := any(root)
			for step := range strings.SplitSeq(strings.TrimPrefix(rule.(string), "#/"), "/") {
				m, _ := at.(map[string]any)
				at = m[step]
			}
			if target, ok := at.(map[string]any); ok {
				faults = append(faults, fit(root, target, v, path)...)
			} else {
				note("%v leads nowhere", rule)
			}
		case "oneOf":
			n := 0
			for _, one := range rule.([]any) {
				if len(fit(root, one.(map[string]any), v, path)) == 0 {
					n++
				}
			}
			if n != 1 {
				note("fits %d of the schemas of oneOf", n)
			}
		case "const":
			if v != rule {
				note("%v is not %v", v, rule)
			}
		case "enum":
			if !slices.Contains(rule.([]any), v) {
				note("%v is none of %v", v, rule)
			}
		case "pattern":
			if s, ok := v.(string); ok && !regexp.MustCompile(rule.(string)).MatchString(s) {
				note("%q does not match %s", s, rule)
			}
		case "minimum":
			if n, ok := v.(float64); ok && n < rule.(float64) {
				note("%v is less than %v", n, rule)
			}
		case "type":
			ok := false
			switch rule {
			case "object":
				ok = isObject
			case "array":
				_, ok = v.([]any)
			case "string":
				_, ok = v.(string)
			case "boolean":
				_, ok = v.(bool)
			case "integer":
				n, number := v.(float64)
				ok = number && n == float64(int64(n))
			case "null":
				ok = v == nil
			}
			if !ok {
				note("%T is no %v", v, rule)
			}
		case "required":
			for _, name := range rule.([]any) {
				if _, there := object[name.(string)]; isObject && !there {
					note("%v is missing", name)
				}
			}
		case "items":
			list, _ := v.([]any)
			for i, item := range list {
				faults = append(faults, fit(root, rule.(map[string]any), item, fmt.Sprintf("%s[%d]", path, i))...)
			}
		default:
			note("the schema uses %s, which this check does not know", key)
		}
	}
	props, _ := schema["properties"].(map[string]any)
	for name, val := range object {
		if p, known := props[name].(map[string]any); known {
			faults = append(faults, fit(root, p, val, path+"."+name)...)
		} else if schema["additionalProperties"] == false {
			note("%s is not in the schema", name)
		}
	}
	return faults
}
