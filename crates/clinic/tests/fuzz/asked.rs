//! What is drawn for a request. Everything is an index or a choice, so that a fault is shrunk to its cause; what they
//! stand for is looked up in the world.

use proptest::collection::vec;
use proptest::prelude::*;

/// Who asks: the five roles, nobody, a patient.
pub const WHO: [&str; 7] =
    ["therapist", "assistant", "front_desk", "clinic_lead", "administrator", "nobody", "patient"];

/// A piece of a path or a value.
#[derive(Clone, Debug)]
pub enum Piece {
    /// One that is there, by its place in the list of them.
    Real(u16),
    /// One of the odd ones, by its place.
    Odd(u16),
    /// Any text.
    Text(String),
}

/// A change of a form before it is sent.
#[derive(Clone, Debug)]
pub enum Change {
    /// Another value for a field.
    Put(u16, Piece),
    /// One of the values that the page itself offers for this field.
    Choose(u16, u16),
    /// The field is left out.
    Drop(u16),
    /// The field stands twice, the second time with this value.
    Twice(u16, Piece),
    /// A field that the form does not have.
    Add(Piece, Piece),
}

/// What is sent.
#[derive(Clone, Debug)]
pub enum Body {
    /// The form of a page, changed.
    Form(u16, Vec<Change>),
    /// The same fields as JSON, or the JSON that the route's script sends, changed.
    Json(u16, Vec<Change>),
    /// Bytes.
    Bytes(Vec<u8>),
    /// So many kB of one letter in a field.
    Large(u16, u16),
    /// Brackets within brackets.
    Nested(u16),
}

/// A request.
#[derive(Clone, Debug)]
pub struct Asked {
    pub route: usize,
    pub who: usize,
    pub pieces: Vec<Piece>,
    pub query: Vec<(Piece, Piece)>,
    pub body: Body,
    /// 0 = the right token, in the header or in the form; more = a wrong or no token.
    pub token: u8,
    /// Places in lists of odd methods, content types, languages and other headers; 0 is the usual one.
    pub method: u8,
    pub kind: u8,
    pub language: u8,
    pub headers: Vec<(u8, u8)>,
}

fn piece(real: u32) -> impl Strategy<Value = Piece> {
    prop_oneof![
        real => any::<u16>().prop_map(Piece::Real),
        2 => any::<u16>().prop_map(Piece::Odd),
        1 => any::<String>().prop_map(Piece::Text),
    ]
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        4 => (any::<u16>(), piece(1)).prop_map(|(at, it)| Change::Put(at, it)),
        3 => (any::<u16>(), any::<u16>()).prop_map(|(at, it)| Change::Choose(at, it)),
        1 => any::<u16>().prop_map(Change::Drop),
        1 => (any::<u16>(), piece(2)).prop_map(|(at, it)| Change::Twice(at, it)),
        1 => (piece(3), piece(2)).prop_map(|(name, it)| Change::Add(name, it)),
    ]
}

fn body() -> impl Strategy<Value = Body> {
    prop_oneof![
        12 => (any::<u16>(), vec(change(), 0..5)).prop_map(|(at, it)| Body::Form(at, it)),
        3 => (any::<u16>(), vec(change(), 0..4)).prop_map(|(at, it)| Body::Json(at, it)),
        1 => vec(any::<u8>(), 0..200).prop_map(Body::Bytes),
        1 => (any::<u16>(), 1..1100u16).prop_map(|(at, kb)| Body::Large(at, kb)),
        1 => (0..5000u16).prop_map(Body::Nested),
    ]
}

/// 0 most of the time, else a place in a list.
fn seldom(of: u8) -> impl Strategy<Value = u8> {
    prop_oneof![8 => Just(0u8), 1 => 0..of]
}

/// Any request to one of so many routes.
pub fn asked(routes: usize) -> impl Strategy<Value = Asked> {
    let where_to = (0..routes, 0..WHO.len(), vec(piece(8), 3), vec((piece(6), piece(2)), 0..4), body());
    let how = (seldom(4), seldom(9), seldom(6), seldom(8), vec((0..12u8, 0..8u8), 0..3));
    (where_to, how).prop_map(
        |((route, who, pieces, query, body), (token, method, kind, language, headers))| Asked {
            route,
            who,
            pieces,
            query,
            body,
            token,
            method,
            kind,
            language,
            headers,
        },
    )
}

/// Values that forms, paths and headers must survive.
pub fn odd(at: u16) -> String {
    const ODD: &[&str] = &[
        "",
        " ",
        "0",
        "-1",
        "1",
        "1.5",
        "1,5",
        "NaN",
        "nan",
        "inf",
        "-inf",
        "1e308",
        "-1e308",
        "1e-320",
        "1e999",
        "4294967295",
        "4294967296",
        "9223372036854775807",
        "18446744073709551615",
        "99999999999999999999999999",
        "0x10",
        "٣",
        "1_000",
        "0000-00-00",
        "-9999-01-01",
        "-009999-01-01",
        "9999-12-31",
        "10000-01-01",
        "2024-02-29",
        "2025-02-29",
        "2026-11-31",
        "1900-01-01",
        "2026-11-25",
        "2026-11-26",
        "2026-11-24",
        "2026-11-25T12:00:00Z",
        "2026-W48-3",
        "on",
        "true",
        "null",
        "undefined",
        "[]",
        "{}",
        "[[[[[[[[[[[[[[[[",
        "{\"a\":{\"a\":{}}}",
        "\u{0}",
        "a\u{0}b",
        "\r\n",
        "a\r\nSet-Cookie: x=y",
        "\u{feff}",
        "\u{202e}abc",
        "مرحبا بالعالم",
        "👩‍⚕️🦵🏽",
        "e\u{301}\u{301}\u{301}\u{301}",
        "ﷺﷺﷺ",
        "İıſK",
        "../",
        "../../../../etc/passwd",
        "..%2f..%2f",
        "//elsewhere.test/",
        "/\\elsewhere.test",
        "https://elsewhere.test/",
        "javascript:alert(1)",
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "' OR 1=1 --",
        "'; DROP TABLE entry; --",
        "${7*7}",
        "{{7*7}}",
        "{ $what }",
        "%s%n",
        "%00",
        "left",
        "right",
        "both",
        "emergency",
        "passive",
        "%",
        "_",
        "*",
        "\\",
        "~",
        "|",
        "HR1|",
        "HR1:0:0",
        "0.0000000000001",
    ];
    let at = usize::from(at) % (ODD.len() + 2);
    match at.checked_sub(ODD.len()) {
        None => ODD[at].to_string(),
        Some(0) => "x".repeat(9_000),
        Some(_) => "ß👣".repeat(3_000),
    }
}
