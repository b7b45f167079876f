//! The readings on a job's page: each as it was written, with what it is off by; a slip where it stands; the line to write
//! the next one in.

use maud::{Markup, html};
use quantity::{Instrument, Problem};

use super::about::field;
use super::echo::{echo, marked};
use super::{Entered, Target};
use record::JobId;

use crate::worked::{Doubt, Entry, ReadLine, Worked};

pub fn readings(id: JobId, worked: &Worked, entered: &Entered, instruments: &[Instrument]) -> Markup {
    html! {
        section #readings aria-labelledby="readings-head" {
            h2 #readings-head { "Readings " small { "what was measured, as it was measured" } }
            @if worked.entries.is_empty() {
                p { "Put the first feature in: what is to be measured on the part? Teeth, a bore, a shaft, holes, an outline: each is a feature of its own, and more can be put in later." }
            }
            @for entry in &worked.entries { (self::entry(id, entry)) }
            @if !worked.entries.is_empty() { (line(id, worked, entered, instruments)) }
            (another(id, worked.entries.is_empty()))
        }
    }
}

fn entry(id: JobId, entry: &Entry) -> Markup {
    let target = Target(entry.at);
    html! {
        div.entry-head #(target.to_string()) {
            h3 { (entry.name)
                @if entry.name != entry.kind { " " small { (entry.kind) } }
                @if let Some(of) = &entry.of { " " small { "runs with " (of) } } }
            (particulars(id, entry))
        }
        ol.lines {
            @for read in entry.lines.iter().filter(|read| read.written.is_some()) { (self::read(id, entry, read)) }
        }
        @let scanned: Vec<&ReadLine> = entry.lines.iter().filter(|read| read.written.is_none()).collect();
        @if !scanned.is_empty() {
            details.scanned {
                summary { "and " (scanned.len()) @if scanned.len() == 1 { " reading" } @else { " readings" } " from the scan " span.num { (entry.scan.as_deref().unwrap_or_default()) } }
                ol.lines { @for read in scanned { li.line { div.row { span.num { (read.text) } span.fit.num { (read.off) } } } } }
            }
        }
    }
}

/// One reading. It opens where it stands to be changed.
fn read(id: JobId, entry: &Entry, read: &ReadLine) -> Markup {
    let target = Target(entry.at);
    let index = read.written.unwrap_or_default();
    let place = format!("{target}-{index}");
    let wrong = read.doubt.is_some() || !read.problems.is_empty();
    let off = if read.off.is_empty() { "" } else { "off by " };
    html! {
        li.line.slip[wrong] #(place) {
            details {
                summary {
                    span.num { (text(read)) }
                    span.fit.num { span.hidden { (off) } (read.off) }
                }
                form.change method="post" action={ "/jobs/" (id) "/lines/change" } hx-post={ "/jobs/" (id) "/lines/change" }
                    hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                    (hidden(target, index, &read.text))
                    label.hidden for={ (place) "-text" } { "Change the reading" }
                    input.num id={ (place) "-text" } name="text" value=(read.text) autocomplete="off" autocapitalize="off" spellcheck="false";
                    div.row {
                        button.act type="submit" name="do" value="keep" { "Keep it so" }
                        button.act.quiet type="submit" name="do" value="remove" { "Take it out" }
                    }
                }
            }
            @for problem in &read.problems { p.wrong { (problem.message) " " (sentence(problem.help.as_deref().unwrap_or(&problem.expected))) } }
            @if let Some(doubt) = &read.doubt { (doubtful(id, target, index, read, doubt)) }
        }
    }
}

/// The line with the characters marked that are wrong, or in doubt.
fn text(read: &ReadLine) -> Markup {
    match read.doubt.as_ref().and_then(|doubt| doubt.at.clone()) {
        Some(at) if read.problems.is_empty() => marked(&read.text, &[Problem::new(at, "", "")]),
        _ => marked(&read.text, &read.problems),
    }
}

fn doubtful(id: JobId, target: Target, index: usize, read: &ReadLine, doubt: &Doubt) -> Markup {
    let button = |text: &str, says: Markup, quiet: bool| {
        html! {
            form method="post" action={ "/jobs/" (id) "/lines/change" } hx-post={ "/jobs/" (id) "/lines/change" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                (hidden(target, index, &read.text))
                input type="hidden" name="text" value=(text);
                button.act.quiet[quiet] type="submit" { (says) }
            }
        }
    };
    html! {
        p.wrong { "Looks like " (doubt.guess) ". " span.num { (doubt.would_agree) } " would agree with everything else. Measure it again." }
        div.row {
            @if let Some(mended) = &doubt.mended { (button(mended, html! { "It reads " span.num { (doubt.would_agree) } }, false)) }
            (button(&doubt.set_aside, html! { "Set it aside" }, true))
        }
    }
}

fn hidden(target: Target, index: usize, was: &str) -> Markup {
    html! {
        input type="hidden" name="at" value=(target);
        input type="hidden" name="line" value=(index);
        input type="hidden" name="was" value=(was);
    }
}

/// The line that readings are written in.
fn line(id: JobId, worked: &Worked, entered: &Entered, instruments: &[Instrument]) -> Markup {
    let chosen = entered.at.and_then(|Target(at)| worked.entries.iter().position(|entry| entry.at == at));
    let chosen = chosen.unwrap_or(0);
    html! {
        form.entry #entry method="post" action={ "/jobs/" (id) "/lines" } hx-post={ "/jobs/" (id) "/lines" }
            hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
            @if worked.entries.len() > 1 {
                fieldset.of {
                    legend { "A reading of the" }
                    @for (index, entry) in worked.entries.iter().enumerate() {
                        label { input type="radio" name="at" value=(Target(entry.at)) checked[index == chosen]; span { (entry.name) } }
                    }
                }
            } @else {
                @for entry in &worked.entries { input type="hidden" name="at" value=(Target(entry.at)); }
            }
            label for="line" { "Write a reading" span.hidden { ", as in the notebook" } }
            div.row {
                input.num.grow #line name="text" value=(entered.line) autocomplete="off" autocapitalize="off" spellcheck="false"
                    enterkeyhint="done" maxlength="1000" aria-describedby="echo" data-key="n"
                    hx-post={ "/jobs/" (id) "/echo" } hx-trigger="input changed delay:60ms, echo" hx-target="#echo" hx-swap="innerHTML"
                    hx-include="#entry" hx-sync="this:replace";
                button.act type="submit" { "Write" }
            }
            div.echo #echo role="status" aria-live="polite" {
                (echo(worked, chosen, &entered.line, instruments))
            }
        }
    }
}

/// What else its entry says, to be filled in.
fn particulars(id: JobId, entry: &Entry) -> Markup {
    let target = Target(entry.at);
    let told: Vec<String> = entry
        .fields
        .iter()
        .filter(|field| !field.value.is_empty())
        .map(|field| {
            format!("{}: {}", field.name.replace('_', " "), field.value.lines().collect::<Vec<_>>().join(", "))
        })
        .chain(entry.scan.iter().map(|scan| format!("scan: {scan}")))
        .collect();
    html! {
        details.particulars {
            summary { @if told.is_empty() { "particulars" } @else { (shortened(&told.join("; "))) } }
            form method="post" action={ "/jobs/" (id) "/features/fill" } hx-post={ "/jobs/" (id) "/features/fill" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                input type="hidden" name="at" value=(target);
                div.field {
                    label for={ (target) "-name" } { "name" }
                    input id={ (target) "-name" } name="name" value=(entry.name) maxlength="80" autocomplete="off" aria-describedby={ (target) "-name-about" };
                    p.soft id={ (target) "-name-about" } { "what it is called here; readings of pieces follow" }
                }
                @for one in &entry.fields { (field(one, &format!("{target}-{}", one.name), None)) }
                button.act type="submit" { "Keep it so" }
            }
            form method="post" action={ "/jobs/" (id) "/features/remove" } hx-post={ "/jobs/" (id) "/features/remove" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                input type="hidden" name="at" value=(target);
                input type="hidden" name="name" value=(entry.name);
                button.act.quiet type="submit" { "Take " (entry.name) " out of the job" }
            }
        }
    }
}

/// An outline's path would fill the page.
fn shortened(text: &str) -> String {
    const LONGEST: usize = 90;
    if text.chars().count() <= LONGEST {
        text.into()
    } else {
        format!("{} …", text.chars().take(LONGEST).collect::<String>())
    }
}

fn another(id: JobId, first: bool) -> Markup {
    html! {
        details.another open[first] {
            summary { @if first { "What has to be measured?" } @else { "Another feature" } }
            form method="post" action={ "/jobs/" (id) "/features" } hx-post={ "/jobs/" (id) "/features" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                div.row {
                    div { label for="new-kind" { "What it is" }
                        select #new-kind name="kind" { @for kind in features::kinds() { option value=(kind.name()) { (kind.name()) } } } }
                    div.grow { label for="new-name" { "What it is called here" }
                        input #new-name name="name" maxlength="80" placeholder="teeth" autocomplete="off"; }
                    button.act type="submit" { "Put it in" }
                }
            }
        }
    }
}

/// A few words of help as a sentence.
pub fn sentence(help: &str) -> String {
    let help = crate::sheets::findings::capital(help.trim_end_matches('.'));
    if help.ends_with('?') { help } else { format!("{help}.") }
}
