//! What the page formats numbers with, cases that hold its formatter to ours, and the colours of the figures.

use super::Generated;
use reducer::registry::{self, Quantity};
use serde_json::{Map, Value, json};
use sheet::svg::Theme;

const FOLDER: &str = "crates/server/web/src/generated";
/// Core values that each quantity is written with in the cases.
const CORE_VALUES: [f64; 7] = [0.0, 1.0, -0.04, 0.61803, 273.15, 12_345.678_9, -8.7e-5];

/// The generated files of the page.
pub(super) fn files() -> Vec<Generated> {
    let file = |name: &str, content: &Value| Generated {
        path: format!("{FOLDER}/{name}"),
        content: super::json(content),
    };
    let colours = Generated { path: format!("{FOLDER}/figure-colours.css"), content: colours() };
    vec![file("quantities.json", &quantities()), file("number-cases.json", &cases()), colours]
}

/// The colours of figures as custom properties, for both themes of the page.
fn colours() -> String {
    let rule = |theme: Theme, selector: &str, indent: &str| -> String {
        let lines =
            theme.properties().into_iter().map(|(name, colour)| format!("{indent}  {name}: {colour};\n"));
        format!("{indent}{selector} {{\n{}{indent}}}\n", lines.collect::<String>())
    };
    format!(
        "/* The colours of the figures, least levels of maps first; generated. */\n\n{}\n\
         @media (prefers-color-scheme: dark) {{\n{}}}\n\n{}",
        rule(Theme::Light, ":root", ""),
        rule(Theme::Dark, ":root:not([data-theme='light'])", "  "),
        rule(Theme::Dark, ":root[data-theme='dark']", ""),
    )
}

fn quantities() -> Value {
    registry::quantities().iter().map(entry).collect::<Map<String, Value>>().into()
}

fn entry(quantity: &Quantity) -> (String, Value) {
    let (factor, offset) = quantity.display_unit().map_or((1.0, 0.0), |unit| (unit.factor, unit.offset));
    let entry = json!({
        "symbol": quantity.symbol,
        "unit_behind": quantity.unit_behind(),
        "digits": quantity.digits,
        "most": quantity.most,
        "factor": factor,
        "offset": offset,
    });
    (quantity.name.clone(), entry)
}

fn cases() -> Value {
    let quantities: Vec<Value> = registry::quantities()
        .iter()
        .flat_map(|quantity| CORE_VALUES.map(|core| json!([quantity.name, core, quantity.display(core)])))
        .collect();
    // Ties, values close to ties, carries and long numbers.
    let values =
        [0.5, 1.5, 2.5, 0.125, 0.375, 1.005, 2.675, 9.995, 999.95, 9_999.5, 99_999.5, 1e15, 4.35e-7, 1e22];
    let numbers: Vec<Value> = values
        .iter()
        .flat_map(|&value| {
            [0, 1, 2, 4].map(|digits| json!([-value, digits, registry::format_number(-value, digits)]))
        })
        .collect();
    json!({ "quantities": quantities, "numbers": numbers })
}
