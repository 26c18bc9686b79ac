//! Colours and sizes. No other file of `app` names a colour or a size of its own.

use crate::catalogue::Severity;
use egui::{
    Color32, Context, FontDefinitions, FontFamily, FontId, Stroke, TextStyle, Theme, Visuals,
};

/// Colours and sizes of one theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tokens {
    /// Ground of boards.
    pub ground: Color32,
    /// Ground of panels.
    pub panel: Color32,
    /// Lines between areas.
    pub line: Color32,
    /// Fainter lines: grids.
    pub faint: Color32,
    /// Text.
    pub text: Color32,
    /// Text of less weight; still 4.5:1.
    pub weak: Color32,
    /// Setter face.
    pub setter: Color32,
    /// Setter edge.
    pub setter_edge: Color32,
    /// Posts.
    pub post: Color32,
    /// Part face.
    pub part: Color32,
    /// Faces of parts where kinds are told apart, beside a hatching and a name.
    pub kinds: [Color32; 5],
    /// Part edge.
    pub part_edge: Color32,
    /// Coupons, dummy masses, thermocouples.
    pub other: Color32,
    /// Selection and focus.
    pub accent: Color32,
    /// Zones.
    pub zone: Color32,
    /// Stop.
    pub stop: Color32,
    /// Stop, as a ground under text.
    pub stop_ground: Color32,
    /// Caution.
    pub caution: Color32,
    /// Caution, as a ground under text.
    pub caution_ground: Color32,
    /// Note.
    pub note: Color32,
    /// Setpoint curve.
    pub curve: Color32,
    /// Lines of the forecast.
    pub forecast: Color32,
    /// Debind range.
    pub debind: Color32,
    /// Sinter range.
    pub sinter: Color32,
}

/// Space between things, points.
pub const SPACE: f32 = 8.0;
/// Least size of a target, points (WCAG 2.2, 2.5.8).
pub const TARGET: f32 = 24.0;
/// Width of side panels, points.
pub const SIDE: f32 = 300.0;
/// Width of drawn edges, points.
pub const EDGE: f32 = 1.0;
/// Width of edges that stand out, points.
pub const BOLD_EDGE: f32 = 2.5;
/// Size of the rulers, points.
pub const RULER: f32 = 34.0;
/// Small text on drawings, points.
pub const SMALL: f32 = 11.0;

/// Light theme.
pub const LIGHT: Tokens = Tokens {
    ground: Color32::from_rgb(0xE4, 0xE5, 0xE6),
    panel: Color32::from_rgb(0xF1, 0xF1, 0xF2),
    line: Color32::from_rgb(0xB4, 0xB7, 0xBA),
    faint: Color32::from_rgb(0xD2, 0xD4, 0xD6),
    text: Color32::from_rgb(0x1D, 0x20, 0x23),
    weak: Color32::from_rgb(0x50, 0x56, 0x5C),
    setter: Color32::from_rgb(0xFB, 0xFA, 0xF7),
    setter_edge: Color32::from_rgb(0x8C, 0x8B, 0x86),
    post: Color32::from_rgb(0xC6, 0xC3, 0xBB),
    part: Color32::from_rgb(0xC3, 0xCA, 0xD1),
    kinds: [
        Color32::from_rgb(0xC3, 0xCA, 0xD1),
        Color32::from_rgb(0xE0, 0xD6, 0x9C),
        Color32::from_rgb(0xA9, 0xCD, 0xC0),
        Color32::from_rgb(0xDF, 0xBE, 0xB4),
        Color32::from_rgb(0xAA, 0xC3, 0xE0),
    ],
    part_edge: Color32::from_rgb(0x4A, 0x54, 0x5E),
    other: Color32::from_rgb(0xDD, 0xD6, 0xE3),
    accent: Color32::from_rgb(0x1F, 0x5F, 0xA8),
    zone: Color32::from_rgb(0x6C, 0x79, 0x6A),
    stop: Color32::from_rgb(0xA8, 0x1E, 0x2C),
    stop_ground: Color32::from_rgb(0xF3, 0xD3, 0xD5),
    caution: Color32::from_rgb(0x7A, 0x55, 0x00),
    caution_ground: Color32::from_rgb(0xF4, 0xE6, 0xC2),
    note: Color32::from_rgb(0x3B, 0x5B, 0x7A),
    curve: Color32::from_rgb(0x1D, 0x20, 0x23),
    forecast: Color32::from_rgb(0x7A, 0x3E, 0x8E),
    debind: Color32::from_rgb(0x8C, 0x9A, 0xA6),
    sinter: Color32::from_rgb(0xA9, 0x8F, 0x84),
};

/// Dark theme.
pub const DARK: Tokens = Tokens {
    ground: Color32::from_rgb(0x1E, 0x20, 0x22),
    panel: Color32::from_rgb(0x28, 0x2B, 0x2E),
    line: Color32::from_rgb(0x4C, 0x51, 0x56),
    faint: Color32::from_rgb(0x34, 0x38, 0x3C),
    text: Color32::from_rgb(0xE7, 0xE8, 0xE9),
    weak: Color32::from_rgb(0xAF, 0xB5, 0xBB),
    setter: Color32::from_rgb(0x3A, 0x3C, 0x3D),
    setter_edge: Color32::from_rgb(0x8F, 0x92, 0x94),
    post: Color32::from_rgb(0x5E, 0x60, 0x60),
    part: Color32::from_rgb(0x56, 0x60, 0x69),
    kinds: [
        Color32::from_rgb(0x56, 0x60, 0x69),
        Color32::from_rgb(0x66, 0x5B, 0x35),
        Color32::from_rgb(0x2F, 0x66, 0x5A),
        Color32::from_rgb(0x74, 0x4E, 0x46),
        Color32::from_rgb(0x35, 0x58, 0x86),
    ],
    part_edge: Color32::from_rgb(0xC2, 0xCA, 0xD1),
    other: Color32::from_rgb(0x55, 0x4C, 0x5E),
    accent: Color32::from_rgb(0x7D, 0xB4, 0xEE),
    zone: Color32::from_rgb(0x95, 0xA6, 0x92),
    stop: Color32::from_rgb(0xFF, 0x8F, 0x92),
    stop_ground: Color32::from_rgb(0x5A, 0x26, 0x2A),
    caution: Color32::from_rgb(0xF0, 0xC8, 0x60),
    caution_ground: Color32::from_rgb(0x4B, 0x3D, 0x19),
    note: Color32::from_rgb(0x9F, 0xC1, 0xE2),
    curve: Color32::from_rgb(0xE7, 0xE8, 0xE9),
    forecast: Color32::from_rgb(0xC9, 0x9B, 0xDB),
    debind: Color32::from_rgb(0x6F, 0x80, 0x8E),
    sinter: Color32::from_rgb(0x95, 0x77, 0x6B),
};

impl Tokens {
    /// Tokens of the theme in use.
    pub fn of(ctx: &Context) -> &'static Tokens {
        match ctx.theme() {
            Theme::Dark => &DARK,
            Theme::Light => &LIGHT,
        }
    }

    /// Colour of a severity; it never stands without a shape and a word.
    pub fn severity(&self, severity: Severity) -> Color32 {
        match severity {
            Severity::Stop => self.stop,
            Severity::Caution => self.caution,
            Severity::Note => self.note,
        }
    }
}

/// Sets fonts, colours and sizes once.
pub fn install(ctx: &Context) {
    let mut fonts = FontDefinitions::default();
    // The proportional font has no arrows and no geometric shapes; the monospaced one has.
    let proportional = fonts.families.entry(FontFamily::Proportional).or_default();
    proportional.push("Hack".to_owned());
    ctx.set_fonts(fonts);
    for (theme, tokens) in [(Theme::Light, &LIGHT), (Theme::Dark, &DARK)] {
        ctx.style_mut_of(theme, |style| {
            let mut visuals = match theme {
                Theme::Light => Visuals::light(),
                Theme::Dark => Visuals::dark(),
            };
            visuals.panel_fill = tokens.panel;
            visuals.window_fill = tokens.panel;
            visuals.extreme_bg_color = tokens.ground;
            visuals.override_text_color = Some(tokens.text);
            visuals.selection.bg_fill = tokens.accent.gamma_multiply(0.35);
            visuals.selection.stroke = Stroke::new(EDGE, tokens.text);
            visuals.hyperlink_color = tokens.accent;
            visuals.widgets.noninteractive.bg_stroke = Stroke::new(EDGE, tokens.line);
            style.visuals = visuals;
            style.spacing.interact_size.y = TARGET;
            style.spacing.item_spacing = egui::vec2(SPACE, SPACE / 2.0);
            style
                .text_styles
                .insert(TextStyle::Body, FontId::proportional(14.0));
            style
                .text_styles
                .insert(TextStyle::Button, FontId::proportional(14.0));
            style
                .text_styles
                .insert(TextStyle::Small, FontId::proportional(SMALL));
            style
                .text_styles
                .insert(TextStyle::Heading, FontId::proportional(17.0));
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |c: Color32| {
            let channel = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.040_45 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * channel(c.r()) + 0.7152 * channel(c.g()) + 0.0722 * channel(c.b())
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_and_severities_can_be_read() {
        for tokens in [LIGHT, DARK] {
            let grounds = [tokens.ground, tokens.panel];
            let texts = [
                tokens.text,
                tokens.weak,
                tokens.stop,
                tokens.caution,
                tokens.note,
            ];
            for ground in grounds {
                for text in texts {
                    assert!(contrast(text, ground) >= 4.5, "{text:?} on {ground:?}");
                }
                // Drawn edges: 3:1 (WCAG 1.4.11).
                for edge in [
                    tokens.part_edge,
                    tokens.accent,
                    tokens.zone,
                    tokens.forecast,
                ] {
                    assert!(contrast(edge, ground) >= 3.0, "{edge:?} on {ground:?}");
                }
            }
            assert!(contrast(tokens.stop, tokens.stop_ground) >= 4.5);
            assert!(contrast(tokens.caution, tokens.caution_ground) >= 4.5);
            assert!(contrast(tokens.part_edge, tokens.part) >= 3.0);
            for (i, face) in tokens.kinds.iter().enumerate() {
                assert!(contrast(tokens.part_edge, *face) >= 3.0, "{face:?}");
                assert!(contrast(tokens.text, *face) >= 4.5, "{face:?}");
                let apart = |other: &Color32| {
                    let [a, b] = [face, other].map(|c| c.to_array());
                    (0..3).map(|k| u32::from(a[k].abs_diff(b[k]))).sum::<u32>()
                };
                assert!(tokens.kinds[..i].iter().all(|other| apart(other) >= 40));
            }
        }
    }
}
