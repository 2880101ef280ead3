// An online shop's program, on the generated Java client: the main job for all its sizes.
// Compiled and run by test_java_client.py. Prints what it read of the answers.
import java.net.http.HttpClient;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import tinwright.api.ConvertApi;
import tinwright.api.ConvertApi.APIComputeConversionsRequest;
import tinwright.api.ConvertApi.APIGetConversionRequest;
import tinwright.api.ConvertApi.APIListConversionsRequest;
import tinwright.api.RescaleApi;
import tinwright.api.RescaleApi.APIComputeRescaleRequest;
import tinwright.api.TinsApi;
import tinwright.api.TinsApi.APIComputeTinMeasuresRequest;
import tinwright.client.ApiClient;
import tinwright.client.ApiException;
import tinwright.model.*;

public class Shop {
  private final ApiClient client = new ApiClient();
  private final ConvertApi convert;
  private final RescaleApi rescale;
  private final TinsApi tins;

  interface Request {
    void send() throws ApiException;
  }

  Shop(String address) {
    client.updateBaseUri(address);
    // The JDK's client asks for an upgrade to HTTP/2 by default; the service without its proxy speaks HTTP/1.1 only.
    client.setHttpClientBuilder(HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1));
    convert = new ConvertApi(client);
    rescale = new RescaleApi(client);
    tins = new TinsApi(client);
  }

  static Formula parkin(String flour) {
    Component batter = new Component().name("batter").lines(List.of(
        new Line().ingredient(flour).quantity("2 us_cup").packing("spooned"),
        new Line().ingredient("butter").amount("150").unit("g"),
        new Line().ingredient("egg").quantity("4 each")));
    Component nuggets = new Component().name("nuggets").pieces(new Pieces().count(16))
        .lines(List.of(new Line().ingredient("rolled oats").quantity("160 g")));
    return new Formula().name("Ginger parkin").filledDepth("30 mm").eggClass("eu_m")
        .tinShape(new TinShape(new SquareTinIn().shape(SquareTinIn.ShapeEnum.SQUARE).side("20 cm").depth("5 cm")))
        .components(List.of(batter, nuggets));
  }

  // One request for every size the shop sells: tins as data and as text, a factor, a mass.
  Map<String, Object> allSizes() throws ApiException {
    RectangleTinIn tray =
        new RectangleTinIn().shape(RectangleTinIn.ShapeEnum.RECTANGLE).length("30 cm").width("20 cm").depth("5 cm");
    RoundTinIn round = new RoundTinIn().shape(RoundTinIn.ShapeEnum.ROUND).diameter("23 cm").depth("7 cm");
    List<Target> targets = List.of(
        new Target().label("tray").tinShape(new TinShape(tray)),
        new Target().label("round").tinShape(new TinShape(round)),
        new Target().label("two squares").tin("square 20 x 5 cm").tins(2),
        new Target().label("half").factor(0.5),
        new Target().label("a kilogram").grams(1000.0));
    RescaleAnswer answer = rescale(new RescaleRequest().formula(parkin("plain flour")).targets(targets));
    Map<String, Object> factors = new LinkedHashMap<>();
    Map<String, Object> grams = new LinkedHashMap<>();
    for (TargetAnswer target : answer.getTargets()) {
      factors.put(target.getLabel(), target.getFactor());
      grams.put(target.getLabel(), target.getGrams());
    }
    TargetAnswer first = answer.getTargets().get(0);
    RectangleTinIn echoed = first.getTarget().getTinShape().getRectangleTinIn();
    return Map.of(
        "factors", factors,
        "grams", grams,
        "written_grams", answer.getWritten().getGrams(),
        "butter_grams", first.getComponents().get(0).getLines().get(1).getGrams(),
        "eggs", first.getEggs().get(0).getCounts().get(0).getCount(),
        "pieces", first.getComponents().get(1).getPieces().getCount(),
        "echoed_shape", echoed.getShape().getValue(),
        "echoed_length", echoed.getLength());
  }

  RescaleAnswer rescale(RescaleRequest request) throws ApiException {
    return rescale.computeRescale(APIComputeRescaleRequest.newBuilder().rescaleRequest(request).build());
  }

  // The union of tins, two of its shapes.
  Map<String, Object> shapes() throws ApiException {
    PolygonTinIn hexagon =
        new PolygonTinIn().shape(PolygonTinIn.ShapeEnum.POLYGON).sides(6).acrossFlats("20 cm").depth("5 cm");
    TaperedRoundTinIn bucket = new TaperedRoundTinIn().shape(TaperedRoundTinIn.ShapeEnum.TAPERED_ROUND)
        .topDiameter("20 cm").baseDiameter("10 cm").depth("6 cm");
    Map<String, Object> volumes = new LinkedHashMap<>();
    volumes.put("polygon", volume(new TinShape(hexagon)));
    volumes.put("tapered_round", volume(new TinShape(bucket)));
    return volumes;
  }

  Double volume(TinShape shape) throws ApiException {
    MeasureRequest request = new MeasureRequest().tinShape(shape);
    return tins.computeTinMeasures(APIComputeTinMeasuresRequest.newBuilder().measureRequest(request).build())
        .getVolumeMl();
  }

  // A single conversion by GET: its figure, a warning, and a refusal.
  Map<String, Object> conversion() throws ApiException {
    ConversionAnswer third = convert.getConversion(single("1/3", "lb", "g").build());
    ConversionAnswer flour = convert.getConversion(single("1", "us_cup", "g").ingredient("plain flour").build());
    Problem problem = refusal(() -> convert.getConversion(single("1", "cup", "ml").build()));
    ProblemError reason = problem.getErrors().get(0);
    return Map.of(
        "grams", third.getAmount(),
        "warning", flour.getWarnings().get(0).getCode(),
        "status", problem.getStatus(),
        "parameter", reason.getParameter(),
        "code", reason.getCode(),
        "candidates", reason.getCandidates());
  }

  static APIGetConversionRequest.Builder single(String amount, String unit, String to) {
    return APIGetConversionRequest.newBuilder().amount(amount).unit(unit).to(to);
  }

  // A batch in which one item cannot be answered, and a table by GET.
  Map<String, Object> column() throws ApiException {
    ConversionsRequest request = new ConversionsRequest().measures(MeasuresName.US).items(List.of(
        new ConversionItemRequest().quantity("1 lb").to("g"),
        new ConversionItemRequest().quantity("1 us_cup").to("g").ingredient("plain flower"),
        new ConversionItemRequest().amount("2").unit("cup").to("ml")));
    List<ConversionItem> items =
        convert.computeConversions(APIComputeConversionsRequest.newBuilder().conversionsRequest(request).build()).getItems();
    List<ConversionItem> rows = convert.listConversions(
        APIListConversionsRequest.newBuilder().item(List.of("1|lb", "2|lb")).to("g").build()).getItems();
    List<Double> amounts = new ArrayList<>();
    for (ConversionItem item : List.of(items.get(0), items.get(2), rows.get(0), rows.get(1))) {
      amounts.add(item.getAnswer().getAmount());
    }
    Map<String, Object> printed = reason(items.get(1).getProblem());
    printed.put("amounts", amounts);
    return printed;
  }

  // A whole request refused.
  Map<String, Object> refused() throws ApiException {
    Problem problem = refusal(() -> rescale(new RescaleRequest().formula(parkin("plain flower"))));
    Map<String, Object> printed = reason(problem);
    printed.put("status", problem.getStatus());
    return printed;
  }

  Problem refusal(Request request) {
    try {
      request.send();
    } catch (ApiException failure) {
      try {
        return client.getObjectMapper().readValue(failure.getResponseBody(), Problem.class);
      } catch (java.io.IOException unreadable) {
        throw new IllegalStateException(failure.getResponseBody(), unreadable);
      }
    }
    throw new IllegalStateException("not refused");
  }

  static Map<String, Object> reason(Problem problem) {
    ProblemError first = problem.getErrors().get(0);
    return new LinkedHashMap<>(Map.of(
        "pointer", first.getPointer(), "code", first.getCode(), "nearest", first.getCandidates().get(0)));
  }

  public static void main(String[] arguments) throws Exception {
    Shop shop = new Shop(arguments[0]);
    System.out.println(shop.client.getObjectMapper().writeValueAsString(Map.of(
        "conversion", shop.conversion(), "column", shop.column(), "shapes", shop.shapes(),
        "all_sizes", shop.allSizes(), "refused", shop.refused())));
  }
}
