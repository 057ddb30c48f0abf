package main

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
)

//go:embed rules.rego
var regoText string

func opaEngine(name string, exact bool, gram string, form func(*row) entry) (engine, error) {
	ctx := context.Background()
	query, err := rego.New(rego.Query("data.week.met"), rego.Module("rules.rego", regoText), rego.SetRegoVersion(ast.RegoV1)).PrepareForEval(ctx)
	if err != nil {
		return engine{}, fmt.Errorf("%s: %w", name, err)
	}
	return engine{name, exact,
		func(p *drawn) (any, error) {
			list := make([]any, len(p.rows))
			for i := range p.rows {
				e := form(&p.rows[i])
				m := map[string]any{"species": e.species, "meat": e.meat, "red": e.red, "oil": e.oil}
				e.each(func(name, text string) { m[name] = json.Number(text) })
				list[i] = m
			}
			return ast.InterfaceToValue(map[string]any{"servings": list, "gram": json.Number(gram)})
		},
		func(in any) (v verdicts, err error) {
			rs, err := query.Eval(ctx, rego.EvalParsedInput(in.(ast.Value)))
			if err != nil {
				return v, err
			}
			if len(rs) != 1 || len(rs[0].Expressions) != 1 {
				return v, fmt.Errorf("found %d results where the verdicts should be", len(rs))
			}
			met, ok := rs[0].Expressions[0].Value.([]any)
			if !ok {
				return v, fmt.Errorf("found %T where the verdicts should be", rs[0].Expressions[0].Value)
			}
			for i, id := range ruleIDs() {
				for _, m := range met {
					v[i] = v[i] || m == id
				}
			}
			return v, nil
		}}, nil
}

// opaDecimals gives it the figures as people write them.
func opaDecimals() (engine, error) {
	return opaEngine("Open Policy Agent, decimals", false, "1", decimals)
}

// opaWhole gives it whole numbers only.
func opaWhole() (engine, error) {
	return opaEngine("Open Policy Agent, whole numbers", true, "1000000000000", wholes)
}
