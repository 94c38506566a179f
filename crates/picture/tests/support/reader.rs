//! Reads a drawing back: elements by class, paths as points. Written from the SVG 2 recommendation's chapter on
//! path data ("9.3 Path data"), for the commands that a drawing uses.

use roxmltree::{Document, Node};

/// A part of a path: the points it goes through, handles of curves left out.
pub(crate) type Part = Vec<(f64, f64)>;

/// The parts of path data, each from one move to the next.
pub(crate) fn parts(data: &str) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    let mut pen = (0.0, 0.0);
    for (command, numbers) in commands(data) {
        let go: Vec<(f64, f64)> = match command {
            'M' => vec![(numbers[0], numbers[1])],
            'm' => vec![sum(pen, (numbers[0], numbers[1]))],
            'l' => chain(pen, numbers.chunks(2).map(|n| (n[0], n[1]))),
            'h' => chain(pen, numbers.iter().map(|&x| (x, 0.0))),
            'v' => chain(pen, numbers.iter().map(|&y| (0.0, y))),
            'c' => chain(pen, numbers.chunks(6).map(|n| (n[4], n[5]))),
            's' => chain(pen, numbers.chunks(4).map(|n| (n[2], n[3]))),
            'z' => Vec::new(),
            other => panic!("no command of a drawing: {other}"),
        };
        if matches!(command, 'M' | 'm') {
            parts.push(Vec::new());
        }
        let part = parts.last_mut().expect("a path begins with a move");
        pen = if command == 'z' { part[0] } else { *go.last().expect("a command has a point") };
        part.extend(go);
    }
    parts
}

/// Drawings count in hundredths; so no error adds up.
fn sum(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let hundredths = |v: f64| (v * 100.0).round() / 100.0;
    (hundredths(a.0 + b.0), hundredths(a.1 + b.1))
}

fn chain(from: (f64, f64), steps: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let add = |pen: &mut (f64, f64), step: (f64, f64)| {
        *pen = sum(*pen, step);
        Some(*pen)
    };
    steps.scan(from, add).collect()
}

fn commands(data: &str) -> Vec<(char, Vec<f64>)> {
    let mut all: Vec<(char, Vec<f64>)> = Vec::new();
    let mut number = String::new();
    for sign in data.chars().chain([' ']) {
        let goes_on = sign.is_ascii_digit() || (sign == '.' && !number.contains('.'));
        if !goes_on && !number.is_empty() {
            let value = number.parse().unwrap_or_else(|_| panic!("no number: {number}"));
            all.last_mut().expect("a path begins with a command").1.push(value);
            number.clear();
        }
        match sign {
            sign if sign.is_ascii_alphabetic() => all.push((sign, Vec::new())),
            ' ' => {}
            sign => number.push(sign),
        }
    }
    all
}

/// Elements of a class.
pub(crate) fn of_class<'a, 'd>(svg: &'a Document<'d>, class: &str) -> Vec<Node<'a, 'd>> {
    let wanted = |node: &Node| node.attribute("class").is_some_and(|all| all.split(' ').any(|c| c == class));
    svg.descendants().filter(wanted).collect()
}

/// From left to right and from top to bottom.
pub(crate) fn bounds(part: &[(f64, f64)]) -> [(f64, f64); 2] {
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    let widen = |b: (f64, f64), v: f64| (b.0.min(v), b.1.max(v));
    part.iter().fold([none; 2], |[x, y], p| [widen(x, p.0), widen(y, p.1)])
}

/// The height of a side at a place across, taken as straight between its points; `None` beside it.
pub(crate) fn at(part: &[(f64, f64)], x: f64) -> Option<f64> {
    let mut points = part.to_vec();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let after = points.partition_point(|point| point.0 < x);
    let b = points.get(after)?;
    let a = if after > 0 { points[after - 1] } else { *b };
    if (b.0 - x).abs() < 0.005 {
        return Some(b.1);
    }
    (after > 0).then(|| a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0))
}

/// Where the ends stand, from the left of the sheet: of a drawing without the frame.
pub(crate) fn ends(svg: &Document) -> Vec<f64> {
    let warp = of_class(svg, "warp");
    let paths = warp[0].children().filter(|node| node.is_element());
    let data = paths.filter_map(|path| path.attribute("d"));
    let mut all: Vec<f64> = data.flat_map(parts).map(|part| part[0].0).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

/// For each drawn row, by its number: the places of the sheet's ends, from the left, that the row lies across in
/// this layer ("over" or "under"), as the lines at its upper side tell.
pub(crate) fn passed(svg: &Document, class: &str) -> Vec<(u32, Vec<usize>)> {
    let ends = ends(svg);
    let rows = of_class(svg, class).into_iter().filter(|node| node.has_attribute("data-row"));
    rows.map(|node| {
        let number = node.attribute("data-row").unwrap().parse().unwrap();
        let all = parts(node.attribute("d").unwrap());
        let sides: Vec<[(f64, f64); 2]> = all.iter().map(|part| bounds(part)).collect();
        // Each stretch has an upper and a lower side.
        assert_eq!(sides.len() % 2, 0);
        let (upper, lower) = sides.split_at(sides.len() / 2);
        for (a, b) in upper.iter().zip(lower) {
            assert_eq!(a[0], b[0], "row {number}: both sides are as long");
        }
        for (upper, lower) in all.iter().zip(&all[all.len() / 2..]) {
            for &(x, y) in upper {
                let other = at(lower, x).unwrap_or_else(|| panic!("row {number}: one side alone at {x}"));
                assert!(y <= other + 0.03, "row {number}: the upper side lies above the lower at {x}");
            }
        }
        let across = |x: f64| upper.iter().filter(|side| side[0].0 < x && x < side[0].1).count();
        let passed = (0..ends.len()).filter(|&end| {
            let times = across(ends[end]);
            assert!(times <= 1, "row {number} lies twice across end {end}");
            times == 1
        });
        (number, passed.collect())
    })
    .collect()
}
