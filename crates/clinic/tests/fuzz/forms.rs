//! Forms out of rendered pages: where they go, their fields, and what each field offers.

use std::collections::BTreeMap;

/// A field as the page shows it.
#[derive(Clone, Debug, Default)]
pub struct Field {
    pub name: String,
    pub value: String,
    /// Sent when nobody touches the form: not an empty box or an unchosen radio button.
    pub set: bool,
    /// Values of the options, of all radio buttons or boxes of the name.
    pub offers: Vec<String>,
}

/// A form.
#[derive(Clone, Debug, Default)]
pub struct Form {
    pub fields: Vec<Field>,
}

/// The text of an attribute, unescaped.
fn attribute(tag: &str, name: &str) -> Option<String> {
    let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    let text = &tag[from..from + tag[from..].find('"')?];
    Some(plain(text))
}

/// Markup to text.
pub fn plain(text: &str) -> String {
    text.replace("&quot;", "\"")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

/// Adds the forms of a page to those known, under each path that they are sent to.
pub fn collect(page: &str, known: &mut BTreeMap<String, Vec<Form>>) {
    for piece in page.split("<form ").skip(1) {
        let Some((head, rest)) = piece.split_once('>') else { continue };
        let head = format!(" {head}");
        let inside = rest.split("</form>").next().unwrap_or_default();
        let form = Form { fields: fields(inside) };
        let mut to = Vec::new();
        for name in ["action", "data-check", "data-tight", "data-look"] {
            to.extend(attribute(&head, name));
        }
        to.extend(
            inside.split("<button").skip(1).filter_map(|it| attribute(it.split('>').next()?, "formaction")),
        );
        if inside.contains("data-all") || to.iter().any(|it| it == "/new") {
            to.push("/new/orders".into());
        }
        for path in to {
            let list = known.entry(path).or_default();
            if list.len() < 12 {
                list.push(form.clone());
            }
        }
    }
}

fn fields(inside: &str) -> Vec<Field> {
    let mut out: Vec<Field> = Vec::new();
    for piece in inside.split('<').skip(1) {
        let Some((tag, after)) = piece.split_once('>') else { continue };
        let kind = tag.split([' ', '>']).next().unwrap_or_default();
        let padded = format!("{tag} ");
        match kind {
            "input" | "button" | "select" | "textarea" => {
                let Some(name) = attribute(tag, "name") else { continue };
                let value = match kind {
                    "textarea" => plain(after),
                    _ => attribute(tag, "value").unwrap_or_else(|| "on".into()),
                };
                let typed = attribute(tag, "type").unwrap_or_default();
                let choice = kind == "button" || typed == "checkbox" || typed == "radio";
                let set = !choice || padded.contains(" checked ");
                let value = if kind == "input" && !choice && attribute(tag, "value").is_none() {
                    String::new()
                } else {
                    value
                };
                match out.iter_mut().find(|it| it.name == name && choice) {
                    Some(known) => {
                        known.offers.push(value.clone());
                        if set {
                            (known.value, known.set) = (value, true);
                        }
                    }
                    None => out.push(Field { name, value: value.clone(), set, offers: vec![value] }),
                }
            }
            "option" => {
                let Some(last) = out.last_mut() else { continue };
                let value = attribute(tag, "value").unwrap_or_else(|| plain(after));
                last.offers.push(value.clone());
                if padded.contains(" selected ") || last.offers.len() == 2 {
                    last.value = value;
                }
            }
            _ => {}
        }
    }
    out
}
