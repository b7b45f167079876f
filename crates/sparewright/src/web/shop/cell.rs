//! A value of the shop file as it is shown in a cell, and what is typed into a cell as a value.

use toml_edit::{Array, Item, Value};

use super::sections::Takes;

/// As it is shown, and as it may be typed again.
pub fn shown(item: Option<&Item>, takes: Takes) -> String {
    let Some(value) = item.and_then(Item::as_value) else { return String::new() };
    match value {
        // a list that cannot be typed again in its cell is shown as in the file
        Value::Array(list) if takes == Takes::Lines || list.iter().all(is_plain) => {
            let between = if takes == Takes::Lines { "\n" } else { ", " };
            list.iter().map(one).collect::<Vec<_>>().join(between)
        }
        other => one(other),
    }
}

/// Neither a list of its own nor text that a comma would divide.
fn is_plain(value: &Value) -> bool {
    match value {
        Value::Array(_) | Value::InlineTable(_) => false,
        Value::String(text) => !text.value().contains(','),
        _ => true,
    }
}

fn one(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        Value::Boolean(yes) => if *yes.value() { "yes" } else { "no" }.into(),
        other => {
            let mut bare = other.clone();
            bare.decor_mut().clear();
            bare.to_string()
        }
    }
}

/// What was typed as a value; none for an empty cell. `was` is what stood there.
pub fn typed(text: &str, takes: Takes, was: Option<&Value>) -> Result<Option<Value>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    // lists in lists are written as in the file
    if text.starts_with('[') {
        return match text.parse::<Value>() {
            Ok(value) => Ok(Some(bare(value))),
            Err(_) => Err(format!("`{text}` is no list: it is written as in the shop file, [[15, 16, 17], [21, 23]].")),
        };
    }
    let parts = |at: char| -> Vec<&str> { text.split(at).map(str::trim).filter(|part| !part.is_empty()).collect() };
    Ok(Some(match takes {
        Takes::Text => Value::from(text),
        Takes::Lines => Value::Array(parts('\n').into_iter().collect()),
        Takes::Words => Value::Array(parts(',').into_iter().collect()),
        Takes::YesNo => match text.to_lowercase().as_str() {
            "yes" | "true" => Value::from(true),
            "no" | "false" => Value::from(false),
            _ => return Err(format!("`{text}` is neither yes nor no.")),
        },
        Takes::Size => size(text, matches!(was, Some(Value::String(_)))),
        Takes::Sizes => Value::Array(sizes(&parts(','))),
        Takes::SizeOrSizes => match parts(',').as_slice() {
            [one] => size(one, matches!(was, Some(Value::String(_)))),
            several => Value::Array(sizes(several)),
        },
    }))
}

/// A bare number is a number, unless it stood in quotes; anything else stands in quotes.
fn size(text: &str, quoted: bool) -> Value {
    match (quoted, text.parse::<i64>(), text.parse::<f64>()) {
        (false, Ok(whole), _) => Value::from(whole),
        // as it was typed, 0.250 and not 0.25
        (false, Err(_), Ok(_)) => text.parse().unwrap_or_else(|_| Value::from(text)),
        _ => Value::from(text),
    }
}

/// All of them in quotes where one has to be.
fn sizes(parts: &[&str]) -> Array {
    let quoted = parts.iter().any(|part| part.parse::<f64>().is_err());
    parts.iter().map(|part| size(part, quoted)).collect()
}

fn bare(mut value: Value) -> Value {
    value.decor_mut().clear();
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_is_typed_back_as_it_was() {
        use Takes::*;
        for (file, takes, cell) in [
            ("\"bench lathe\"", Text, "bench lathe"),
            ("10", Size, "10"),
            ("0.250", Size, "0.250"),
            ("\"1 3/8\"", Size, "1 3/8"),
            ("[60, 105, 170]", Sizes, "60, 105, 170"),
            ("[\"9/16\", \"5/8\", \"1\"]", Sizes, "9/16, 5/8, 1"),
            ("[12.5]", Sizes, "12.5"),
            ("\"three-plate\"", SizeOrSizes, "three-plate"),
            ("24", SizeOrSizes, "24"),
            ("[\"1/2\", \"5/8\"]", SizeOrSizes, "1/2, 5/8"),
            ("[[15, 16], [21]]", SizeOrSizes, "[[15, 16], [21]]"),
            ("true", YesNo, "yes"),
            ("[\"Prices without tax.\", \"Paid when fetched.\"]", Lines, "Prices without tax.\nPaid when fetched."),
        ] {
            let value: Value = file.parse().expect("TOML");
            let item = Item::Value(value.clone());
            assert_eq!(shown(Some(&item), takes), cell);
            let back = typed(cell, takes, Some(&value)).expect("typed").expect("not empty");
            assert_eq!(back.to_string().trim(), file);
        }
        assert!(typed("perhaps", YesNo, None).is_err());
        assert!(typed("[1, [", Sizes, None).is_err());
        assert!(typed("  ", Size, None).expect("empty").is_none());
        assert_eq!(typed("7/8", Size, None).expect("typed").expect("a value").to_string(), "\"7/8\"");
    }
}
