// An online shop's program, on the generated Go client: the main job for all its sizes.
// Compiled and run by test_go_client.py. Prints what it read of the answers.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"log"
	"net/http"
	"os"

	"halfmoon-wharf.example/shop/tinwright"
)

var client *tinwright.APIClient

func parkin(flour string) tinwright.Formula {
	cups := tinwright.NewLine(flour)
	cups.SetQuantity("2 us_cup")
	cups.SetPacking("spooned")
	butter := tinwright.NewLine("butter")
	butter.SetAmount("150")
	butter.SetUnit("g")
	eggs := tinwright.NewLine("egg")
	eggs.SetQuantity("4 each")
	batter := tinwright.NewComponent("batter", []tinwright.Line{*cups, *butter, *eggs})
	oats := tinwright.NewLine("rolled oats")
	oats.SetQuantity("160 g")
	nuggets := tinwright.NewComponent("nuggets", []tinwright.Line{*oats})
	pieces := tinwright.NewPieces()
	pieces.SetCount(16)
	nuggets.SetPieces(*pieces)
	formula := tinwright.NewFormula("Ginger parkin", []tinwright.Component{*batter, *nuggets})
	square := tinwright.NewSquareTinIn("square", "20 cm")
	square.SetDepth("5 cm")
	formula.SetTinShape(tinwright.SquareTinInAsTinShape(square))
	formula.SetFilledDepth("30 mm")
	formula.SetEggClass("eu_m")
	return *formula
}

// One request for every size the shop sells: tins as data and as text, a factor, a mass.
func allSizes() map[string]any {
	targets := make([]tinwright.Target, 5)
	for place, label := range []string{"tray", "round", "two squares", "half", "a kilogram"} {
		targets[place] = *tinwright.NewTarget()
		targets[place].SetLabel(label)
	}
	tray := tinwright.NewRectangleTinIn("rectangle", "30 cm", "20 cm")
	tray.SetDepth("5 cm")
	targets[0].SetTinShape(tinwright.RectangleTinInAsTinShape(tray))
	round := tinwright.NewRoundTinIn("round", "23 cm")
	round.SetDepth("7 cm")
	targets[1].SetTinShape(tinwright.RoundTinInAsTinShape(round))
	targets[2].SetTin("square 20 x 5 cm")
	targets[2].SetTins(2)
	targets[3].SetFactor(0.5)
	targets[4].SetGrams(1000)
	request := tinwright.NewRescaleRequest(parkin("plain flour"))
	request.SetTargets(targets)
	answer, _, err := client.RescaleAPI.ComputeRescale(context.Background()).RescaleRequest(*request).Execute()
	must(err)
	factors, grams := map[string]float64{}, map[string]float64{}
	for _, target := range answer.Targets {
		factors[target.GetLabel()], grams[target.GetLabel()] = target.GetFactor(), target.GetGrams()
	}
	first := answer.Targets[0]
	pieces := first.Components[1].GetPieces()
	echoed := first.Target.TinShape.RectangleTinIn
	return map[string]any{
		"factors":       factors,
		"grams":         grams,
		"written_grams": answer.Written.Grams,
		"butter_grams":  first.Components[0].Lines[1].Grams,
		"eggs":          first.Eggs[0].Counts[0].Count,
		"pieces":        pieces.Count,
		"echoed_shape":  echoed.Shape,
		"echoed_length": echoed.Length,
	}
}

// The union of tins, two of its shapes.
func shapes() map[string]any {
	hexagon := tinwright.NewPolygonTinIn("polygon", 6, "20 cm")
	hexagon.SetDepth("5 cm")
	bucket := tinwright.NewTaperedRoundTinIn("tapered_round", "20 cm", "10 cm", "6 cm")
	volumes := map[string]any{}
	for name, shape := range map[string]tinwright.TinShape{
		"polygon":       tinwright.PolygonTinInAsTinShape(hexagon),
		"tapered_round": tinwright.TaperedRoundTinInAsTinShape(bucket),
	} {
		request := tinwright.NewMeasureRequest()
		request.SetTinShape(shape)
		answer, _, err := client.TinsAPI.ComputeTinMeasures(context.Background()).MeasureRequest(*request).Execute()
		must(err)
		volumes[name] = answer.GetVolumeMl()
	}
	return volumes
}

// A single conversion by GET: its figure, a warning, and a refusal.
func conversion() map[string]any {
	background := context.Background()
	third, _, err := client.ConvertAPI.GetConversion(background).Amount("1/3").Unit("lb").To("g").Execute()
	must(err)
	cup := client.ConvertAPI.GetConversion(background).Amount("1").Unit("us_cup").To("g").Ingredient("plain flour")
	flour, _, err := cup.Execute()
	must(err)
	_, response, err := client.ConvertAPI.GetConversion(background).Amount("1").Unit("cup").To("ml").Execute()
	reason := problem(err).Errors[0]
	return map[string]any{
		"grams":      third.Amount,
		"warning":    flour.Warnings[0].Code,
		"status":     response.StatusCode,
		"parameter":  reason.GetParameter(),
		"code":       reason.Code,
		"candidates": reason.Candidates,
	}
}

// A batch in which one item cannot be answered, and a table by GET.
func column() map[string]any {
	items := make([]tinwright.ConversionItemRequest, 3)
	for place, unit := range []string{"g", "g", "ml"} {
		items[place] = *tinwright.NewConversionItemRequest(unit)
	}
	items[0].SetQuantity("1 lb")
	items[1].SetQuantity("1 us_cup")
	items[1].SetIngredient("plain flower")
	items[2].SetAmount("2")
	items[2].SetUnit("cup")
	request := tinwright.NewConversionsRequest(items)
	request.SetMeasures(tinwright.MEASURESNAME_US)
	answer, _, err := client.ConvertAPI.ComputeConversions(context.Background()).ConversionsRequest(*request).Execute()
	must(err)
	rows, _, err := client.ConvertAPI.ListConversions(context.Background()).Item([]string{"1|lb", "2|lb"}).To("g").Execute()
	must(err)
	amounts := []float64{}
	for _, item := range append([]tinwright.ConversionItem{answer.Items[0], answer.Items[2]}, rows.Items...) {
		amounts = append(amounts, item.Answer.Amount)
	}
	return with(map[string]any{"amounts": amounts}, answer.Items[1].Problem.Errors[0])
}

// A whole request refused.
func refused() map[string]any {
	request := tinwright.NewRescaleRequest(parkin("plain flower"))
	_, response, err := client.RescaleAPI.ComputeRescale(context.Background()).RescaleRequest(*request).Execute()
	return with(map[string]any{"status": response.StatusCode}, problem(err).Errors[0])
}

func with(printed map[string]any, reason tinwright.ProblemError) map[string]any {
	printed["pointer"], printed["code"], printed["nearest"] = reason.GetPointer(), reason.Code, reason.Candidates[0]
	return printed
}

func problem(err error) tinwright.Problem {
	var failure *tinwright.GenericOpenAPIError
	if !errors.As(err, &failure) {
		log.Fatal("no problem in the answer: ", err)
	}
	return failure.Model().(tinwright.Problem)
}

func must(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

func main() {
	configuration := tinwright.NewConfiguration()
	configuration.Servers = tinwright.ServerConfigurations{{URL: os.Args[1]}}
	configuration.HTTPClient = http.DefaultClient
	client = tinwright.NewAPIClient(configuration)
	must(json.NewEncoder(os.Stdout).Encode(map[string]any{
		"conversion": conversion(), "column": column(), "shapes": shapes(), "all_sizes": allSizes(), "refused": refused(),
	}))
}
