'use strict';

/** Colours of the charts: on the page they follow the reader's light or dark, in saved pictures they are those of
 *  paper. Delivery, render and screen differ in hue for every kind of colour vision, and in grey. */
const paper = {
  ink: '#1d232b', quiet: '#545d69', grid: '#dfe2e6', back: '#ffffff', delivery: '#1f4e96', render: '#d9862b',
  screen: '#9ad3c5', total: '#66717f', series: ['#1f4e96', '#b8560b', '#2b8a75', '#8a3f8f', '#66717f', '#a03636'],
};

const names = ['ink', 'quiet', 'grid', 'back', 'delivery', 'render', 'screen', 'total'];

const onPage = Object.fromEntries(names.map(name => [name, `var(--${name})`]));
onPage.series = paper.series.map((_, place) => `var(--series-${place})`);

const dashes = [[1, 0], [6, 3], [2, 2], [9, 3, 2, 3], [12, 4], [3, 5]];
const shapes = ['circle', 'square', 'triangle-up', 'diamond', 'cross', 'triangle-down'];
const font = 'system-ui, "Segoe UI", Roboto, "Helvetica Neue", Arial, sans-serif';

function config(theme) {
  return {
    aria: false,
    background: theme === paper ? theme.back : 'transparent',
    font,
    view: {stroke: null},
    axis: {
      labelColor: theme.quiet, titleColor: theme.quiet, gridColor: theme.grid, domainColor: theme.quiet,
      tickColor: theme.quiet, labelFontSize: 12, titleFontSize: 12, titleFontWeight: 'normal', titlePadding: 8,
      labelOverlap: true, labelFlush: false,
    },
    legend: {
      labelColor: theme.ink, titleColor: theme.quiet, labelFontSize: 13, symbolSize: 120, orient: 'top', title: null,
      labelLimit: 220, columns: 0,
    },
    title: {
      color: theme.ink, subtitleColor: theme.quiet, fontSize: 15, subtitleFontSize: 12, anchor: 'start', offset: 12,
      subtitlePadding: 5,
    },
    text: {color: theme.ink, fontSize: 13},
    rule: {color: theme.ink},
  };
}
